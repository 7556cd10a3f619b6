package main

import (
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"strconv"
	"sync/atomic"
	"syscall"
	"time"

	"sinterbook/server"
	"sinterbook/store/scenario"
)

// demoOptions are the flags of the demo.
type demoOptions struct {
	data, addr, scenario string
	fresh, buildOnly     bool
}

func (o *demoOptions) flags(f *flag.FlagSet) {
	f.StringVar(&o.data, "data", cmp.Or(os.Getenv("SINTERBOOK_DEMO_DATA"), filepath.Join("sinterbook-data", "demo")), "`folder` of the demo book (SINTERBOOK_DEMO_DATA)")
	f.StringVar(&o.addr, "addr", cmp.Or(os.Getenv("SINTERBOOK_DEMO_ADDR"), "127.0.0.1:8470"), "loopback `address`; the next port is taken where this one is in use (SINTERBOOK_DEMO_ADDR)")
	f.StringVar(&o.scenario, "scenario", os.Getenv("SINTERBOOK_DEMO_SCENARIO"), "`folder` of CSV files to tell instead of the demo shop (SINTERBOOK_DEMO_SCENARIO)")
	f.BoolVar(&o.fresh, "fresh", false, "build the book again, without what was recorded in it since")
	f.BoolVar(&o.buildOnly, "build-only", false, "build the book and stop")
}

func demoCommand() command {
	var o demoOptions
	return command{
		name: "demo", does: "build an invented shop's book and serve it",
		more: `Builds the book of an invented shop where it is not there yet, prints its address
on this computer and a ready sign-in for each kind of user, and serves it. The
history is told through the same code that records in earnest.`,
		flags: o.flags,
		run:   func(ctx context.Context, _ []string, c console) error { return demo(ctx, o, c.out) },
	}
}

// demo builds the demo book where it is not there yet, and serves it with
// ready sign-ins.
func demo(ctx context.Context, o demoOptions, stdout io.Writer) error {
	if err := loopback(o.addr); err != nil {
		return err
	}
	if err := buildDemo(ctx, o, stdout); err != nil || o.buildOnly {
		return err
	}
	return serveDemo(ctx, o, stdout)
}

// loopback refuses an address that others in the network could reach.
func loopback(addr string) error {
	host, _, err := net.SplitHostPort(addr)
	if err != nil {
		return misused("%q is not an address to listen on: write it like 127.0.0.1:8470", addr)
	}
	if ip, err := netip.ParseAddr(host); host == "localhost" || err == nil && ip.IsLoopback() {
		return nil
	}
	return misused("the demo has ready sign-ins, so it listens on this computer only: %s can be reached from outside. Name a loopback address like 127.0.0.1:8470, or keep a book of your own with serve", addr)
}

// portsTried is how many ports above a taken one are tried.
const portsTried = 20

// listenNear listens on an address, or on the next free port above it.
func listenNear(ctx context.Context, addr string) (net.Listener, error) {
	host, text, err := net.SplitHostPort(addr)
	if err != nil {
		return nil, err
	}
	port, err := strconv.ParseUint(text, 10, 16)
	if err != nil {
		return nil, fmt.Errorf("%q is not a port", text)
	}
	var listen net.ListenConfig
	for tried := range portsTried + 1 {
		l, err := listen.Listen(ctx, "tcp", net.JoinHostPort(host, strconv.FormatUint(port, 10)))
		if err == nil {
			return l, nil
		}
		if !errors.Is(err, syscall.EADDRINUSE) || tried == portsTried || port == 65535 {
			return nil, fmt.Errorf("listening on %s: %w", addr, err)
		}
		port++
	}
	return nil, fmt.Errorf("listening on %s: no port is free", addr)
}

// folderOf is the scenario that the demo tells: the one that the program
// carries, or a folder of that form.
func folderOf(o demoOptions) (fs.FS, error) {
	if o.scenario == "" {
		return scenario.Demo(), nil
	}
	if info, err := os.Stat(o.scenario); err != nil || !info.IsDir() {
		return nil, fmt.Errorf("%s is not a folder with a scenario", o.scenario)
	}
	return os.DirFS(o.scenario), nil
}

// A demoClock runs on from a moment of the demo's history, and is set on by
// whoever lets time pass.
type demoClock struct {
	from  time.Time
	began time.Time
	ahead atomic.Int64 // nanoseconds
}

func clockFrom(t time.Time) *demoClock { return &demoClock{from: t, began: time.Now()} }

func (c *demoClock) now() time.Time {
	return c.from.Add(time.Since(c.began)).Add(time.Duration(c.ahead.Load()))
}

func (c *demoClock) pass(d time.Duration) { c.ahead.Add(int64(d)) }

// serveDemo opens the book with a clock that goes on after its newest entry,
// and serves it.
func serveDemo(ctx context.Context, o demoOptions, stdout io.Writer) (err error) {
	r, err := readDemo(o.data)
	if err != nil {
		return err
	}
	st, clock, err := openDemo(ctx, o.data, r.Now)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	b, err := st.Book(ctx)
	if err != nil {
		return err
	}
	l, err := listenNear(ctx, o.addr)
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "\n%s is open at http://%s/ and its clock reads %s.\nSign in as one of these:\n\n", b.Site, l.Addr(), st.Now().In(b.Zone).Format("2006-01-02 15:04"))
	r.print(stdout, "http://"+l.Addr().String())
	fmt.Fprintln(stdout, "\nAn address under a badge makes this browser the tablet of that station, where badge\nand PIN sign in. In any other browser badge and password do.")
	fmt.Fprintf(stdout, "\nEveryone else's sign-ins are in %s. Ctrl-C stops the demo; its book stays.\n", filepath.Join(o.data, demoState))
	h := server.New(server.Config{Store: st, Log: slog.Default(), Demo: true, Pass: clock.pass, Idle: 10 * time.Minute})
	defer sealing(st, slog.Default())()
	return serveOn(ctx, l, h, nil, slog.Default())
}
