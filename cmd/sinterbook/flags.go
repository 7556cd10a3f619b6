package main

import (
	"cmp"
	"flag"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"strings"
)

// A place says which book a command is about.
type place struct{ db, data string }

func (p *place) flags(f *flag.FlagSet) {
	f.StringVar(&p.db, "db", os.Getenv("SINTERBOOK_DB"), "`book`: an SQLite file or a postgres:// address; book.db in the data folder where none is named (SINTERBOOK_DB)")
	f.StringVar(&p.data, "data", cmp.Or(os.Getenv("SINTERBOOK_DATA"), "sinterbook-data"), "`folder` of the book and of the key that signs its checkpoints (SINTERBOOK_DATA)")
}

// book is the address of the database.
func (p place) book() string { return cmp.Or(p.db, filepath.Join(p.data, "book.db")) }

// shown is the address without a password.
func (p place) shown() string {
	if u, err := url.Parse(p.book()); err == nil && u.Scheme != "" {
		return u.Redacted()
	}
	return p.book()
}

// folder makes the data folder, which only its owner can look into.
func (p place) folder() error { return os.MkdirAll(p.data, 0o700) }

// shared are the flags that may stand before the command too.
var shared = []string{"db", "data", "addr", "tls-cert", "tls-key"}

// leadingFlags takes the flags that stand before the command and writes them
// so that they can stand behind it.
func leadingFlags(args []string) (leading, rest []string, err error) {
	f := quietSet("sinterbook")
	for _, name := range shared {
		f.String(name, "", "")
	}
	if err := f.Parse(args); err != nil {
		return nil, nil, err
	}
	f.Visit(func(set *flag.Flag) { leading = append(leading, "--"+set.Name+"="+set.Value.String()) })
	return leading, f.Args(), nil
}

// quietSet is a set of flags that leaves the talking to us.
func quietSet(name string) *flag.FlagSet {
	f := flag.NewFlagSet(name, flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.Usage = func() {}
	return f
}

func (c command) flagSet() *flag.FlagSet {
	f := quietSet(c.name)
	c.flags(f)
	return f
}

// parse reads flags wherever they stand and returns what is none. Behind "--"
// nothing is a flag.
func parse(f *flag.FlagSet, args []string) ([]string, error) {
	var rest []string
	for {
		if err := f.Parse(args); err != nil {
			if err != flag.ErrHelp {
				err = misused("%v", err)
			}
			return nil, err
		}
		left := f.Args()
		if read := len(args) - len(left); read > 0 && args[read-1] == "--" {
			return append(rest, left...), nil
		}
		if len(left) == 0 {
			return rest, nil
		}
		rest, args = append(rest, left[0]), left[1:]
	}
}

// named says which arguments a command takes.
func named(takes []string) string {
	if len(takes) == 0 {
		return "no argument"
	}
	return strings.Join(takes, " and ")
}

// help lists the commands.
func help(w io.Writer) {
	fmt.Fprint(w, "Sinterbook keeps the book of a shop that prints and sinters mould inserts.\n\nUsage: sinterbook COMMAND [flags]\n\n")
	for _, c := range commands() {
		fmt.Fprintf(w, "  %-16s %s\n", strings.Join(append([]string{c.name}, c.takes...), " "), c.does)
	}
	fmt.Fprint(w, `
sinterbook COMMAND -h explains a command and its flags. Flags may stand before or
behind the command and its argument; each has an environment variable.

Exit codes: 0 done and good; 1 the book or the file is not what it should be, or
the answer is no; 2 the command line was not understood; 3 it could not be done.
`)
}

// help explains one command.
func (c command) help(w io.Writer) {
	fmt.Fprintf(w, "Usage: sinterbook %s [flags]\n\n%s\n\nFlags:\n", strings.Join(append([]string{c.name}, c.takes...), " "), c.more)
	c.flagSet().VisitAll(func(f *flag.Flag) {
		what, usage := flag.UnquoteUsage(f)
		def := ""
		if f.DefValue != "" && f.DefValue != "false" {
			def = "; now " + f.DefValue
		}
		fmt.Fprintf(w, "  --%s %s\n      %s%s\n", f.Name, what, usage, def)
	})
}
