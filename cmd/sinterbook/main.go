// Command sinterbook keeps the book of a shop that prints and sinters mould
// inserts: it serves the book, checks it, and copies it.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // zones are known on machines that have none of their own

	"sinterbook/store"
	"sinterbook/store/shop"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// What the program ends with.
const (
	codeFine   = 0
	codeNo     = 1 // the book, or the file, is not what it should be
	codeMisuse = 2
	codeFailed = 3 // it could not be done
)

// A console is where a command speaks: out has its answer, err what it says
// meanwhile.
type console struct{ out, err io.Writer }

// A command is one word behind the program's name.
type command struct {
	name  string
	takes []string // its arguments, as -h shows them
	does  string   // in one line
	more  string   // for -h
	flags func(*flag.FlagSet)
	run   func(ctx context.Context, args []string, c console) error
}

// commands lists them in the order in which help shows them.
func commands() []command {
	return []command{
		serveCommand(), demoCommand(), verifyCommand(), rebuildCommand(), exportCommand(), importCommand(),
		backupCommand(), restoreCommand(), bundleCommand(), checkCommand(), keyCommand(), whereCommand(), floorCommand(), lotCommand(), traceCommand(),
	}
}

// A misuse is a command line that cannot be followed.
type misuse struct{ why string }

func (m *misuse) Error() string { return m.why }

func misused(format string, args ...any) error { return &misuse{fmt.Sprintf(format, args...)} }

// run does what the command line says and returns the exit code.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	leading, args, err := leadingFlags(args)
	switch {
	case errors.Is(err, flag.ErrHelp), err == nil && len(args) > 0 && args[0] == "help":
		help(stdout)
		return codeFine
	case err == nil && len(args) == 0:
		help(stderr)
		return codeMisuse
	}
	if err == nil {
		err = misused("there is no command %q", first(args))
	}
	for _, c := range commands() {
		if c.name == first(args) {
			return c.follow(ctx, append(leading, args[1:]...), console{stdout, stderr})
		}
	}
	fmt.Fprintf(stderr, "sinterbook: %v.\nsinterbook -h lists the commands.\n", err)
	return codeMisuse
}

func first(args []string) string {
	if len(args) == 0 {
		return ""
	}
	return args[0]
}

// follow runs one command and says what went wrong.
func (c command) follow(ctx context.Context, args []string, on console) int {
	f := c.flagSet()
	args, err := parse(f, args)
	if errors.Is(err, flag.ErrHelp) {
		c.help(on.out)
		return codeFine
	}
	if err == nil && len(args) != len(c.takes) {
		err = misused("it takes %s, and got %d", named(c.takes), len(args))
	}
	if err == nil {
		err = c.run(ctx, args, on)
	}
	if err == nil {
		return codeFine
	}
	code := codeOf(err)
	switch {
	case ctx.Err() != nil:
		fmt.Fprintf(on.err, "sinterbook %s: stopped before its end.\n", c.name)
	case code == codeMisuse:
		fmt.Fprintf(on.err, "sinterbook %s: %v.\nsinterbook %s -h explains it.\n", c.name, err, c.name)
	default:
		fmt.Fprintf(on.err, "sinterbook %s: %s\n", c.name, sentence(err))
	}
	return code
}

// sentence is what a person reads of an error: a no says it all, a failure
// also where it came from.
func sentence(err error) string {
	if f, ok := errors.AsType[*store.Finding](err); ok {
		return f.Why
	}
	if r, ok := errors.AsType[*shop.Refusal](err); ok {
		return r.Why
	}
	return err.Error()
}

// codeOf is the exit code for an error: a sentence about the book or the file
// is a no, all else is a failure.
func codeOf(err error) int {
	switch {
	case errors.As(err, new(*misuse)):
		return codeMisuse
	case errors.As(err, new(*store.Finding)), errors.As(err, new(*shop.Refusal)), errors.As(err, new(*shop.Invalid)):
		return codeNo
	}
	return codeFailed
}
