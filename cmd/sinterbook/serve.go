package main

import (
	"cmp"
	"context"
	"crypto/tls"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"time"

	"sinterbook/server"
	"sinterbook/store"
	"sinterbook/store/shop"
)

// serveOptions are the flags of serve.
type serveOptions struct {
	place
	addr, cert, key string
	idle            time.Duration
}

func (o *serveOptions) flags(f *flag.FlagSet) {
	o.place.flags(f)
	f.StringVar(&o.addr, "addr", cmp.Or(os.Getenv("SINTERBOOK_ADDR"), "127.0.0.1:8470"), "`address` to listen on (SINTERBOOK_ADDR)")
	f.DurationVar(&o.idle, "idle", 10*time.Minute, "`time` after which a tablet that nobody touches asks for a badge; 0 for never")
	f.StringVar(&o.cert, "tls-cert", os.Getenv("SINTERBOOK_TLS_CERT"), "`file` of the certificate, with --tls-key (SINTERBOOK_TLS_CERT)")
	f.StringVar(&o.key, "tls-key", os.Getenv("SINTERBOOK_TLS_KEY"), "`file` of the certificate's key, with --tls-cert (SINTERBOOK_TLS_KEY)")
}

func serveCommand() command {
	var o serveOptions
	return command{
		name: "serve", does: "serve the book in a browser",
		more: `Serves the book until it is told to stop, and lets requests under way finish. A
book that is not there is begun: open the link that is printed then, once, to
name the site and its first quality manager.

The log is signed when it starts, every hour, at the end of each shift (6, 14 and
22 o'clock in the shop's time zone), after each delivery and when it stops, by the
key in the data folder. It listens on this computer only until --addr names another address;
give it a certificate then.`,
		flags: o.flags,
		run:   func(ctx context.Context, _ []string, c console) error { return serve(ctx, o, c) },
	}
}

func serve(ctx context.Context, o serveOptions, c console) (err error) {
	if o.idle != 0 && o.idle < time.Minute {
		return fmt.Errorf("--idle %v is too short to work in: give a minute or more, or 0 for never", o.idle)
	}
	log := slog.New(slog.NewTextHandler(c.err, nil))
	secure, err := o.certificate()
	if err != nil {
		return err
	}
	st, verifier, err := o.open(ctx, log)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	token, err := setUpToken(ctx, st)
	if err != nil {
		return err
	}
	var listen net.ListenConfig
	l, err := listen.Listen(ctx, "tcp", o.addr)
	if err != nil {
		return err
	}
	if secure == nil && loopback(o.addr) != nil {
		log.Warn("others in the network can reach this address, and what they send can be read on the way: give --tls-cert and --tls-key, or let a proxy do it", "addr", o.addr)
	}
	announce(c, l, secure != nil, token)
	h := server.New(server.Config{Store: st, Log: log, Secure: secure != nil, SetupToken: token, Idle: o.idle, Verifier: verifier})
	if verifier != "" {
		defer sealing(st, log)()
	}
	return serveOn(ctx, l, h, secure, log)
}

// certificate loads what TLS needs; nil means without.
func (o serveOptions) certificate() (*tls.Config, error) {
	switch {
	case o.cert == "" && o.key == "":
		return nil, nil
	case o.cert == "" || o.key == "":
		return nil, misused("--tls-cert and --tls-key are given together or not at all")
	}
	pair, err := tls.LoadX509KeyPair(o.cert, o.key)
	if err != nil {
		return nil, fmt.Errorf("loading the certificate: %w", err)
	}
	return &tls.Config{Certificates: []tls.Certificate{pair}}, nil
}

// open opens the book with the key of its data folder. A new book gets a new
// key; a book that lost its key is served without signing.
func (o serveOptions) open(ctx context.Context, log *slog.Logger) (st *store.Store, verifier string, err error) {
	if err := o.folder(); err != nil {
		return nil, "", err
	}
	path := filepath.Join(o.data, keyFile)
	signer, err := readKey(path)
	if errors.Is(err, fs.ErrNotExist) {
		signer, err = o.firstKey(ctx, path, log)
	}
	if err != nil {
		return nil, "", err
	}
	if signer != "" {
		if verifier, err = verifierOf(signer); err != nil {
			return nil, "", err
		}
	}
	st, err = store.Open(ctx, store.Options{DB: o.book(), Log: log, Signer: signer})
	return st, verifier, err
}

// firstKey makes the key of a book that is not set up yet. The log of any
// other names one already, which another cannot take the place of.
func (o serveOptions) firstKey(ctx context.Context, path string, log *slog.Logger) (string, error) {
	st, err := store.Open(ctx, store.Options{DB: o.book(), Log: log})
	if err != nil {
		return "", err
	}
	b, err := st.Book(ctx)
	if closed := st.Close(); closed != nil {
		return "", closed
	}
	if errors.Is(err, shop.ErrNotFound) {
		return makeKey(path)
	}
	if err == nil {
		log.Warn("the key of this book is missing, so that no checkpoint is signed: put its file back", "file", path, "verifier", b.Verifier)
	}
	return "", err
}

// setUpToken is the token of the set-up link of a book that nobody set up, or
// "".
func setUpToken(ctx context.Context, st *store.Store) (string, error) {
	empty, err := server.Empty(ctx, st)
	if err != nil || !empty {
		return "", err
	}
	return store.NewToken(), nil
}

// announce says where the book is.
func announce(c console, l net.Listener, secure bool, token string) {
	scheme, at := "http", l.Addr().String()
	if secure {
		scheme = "https"
	}
	if host, port, err := net.SplitHostPort(at); err == nil && net.ParseIP(host).IsUnspecified() {
		at = net.JoinHostPort("localhost", port)
	}
	if token != "" {
		fmt.Fprintf(c.out, "This book is new. Open this link to set it up; it works once:\n\n  %s://%s/set-up?token=%s\n\n", scheme, at, token)
	}
	fmt.Fprintf(c.out, "Sinterbook is open at %s://%s/. Ctrl-C stops it.\n", scheme, at)
}

// serveOn answers until the context ends, and lets requests under way finish;
// pages that wait for changes are sent away, since they would wait for ever.
func serveOn(ctx context.Context, l net.Listener, h *server.Server, secure *tls.Config, log *slog.Logger) error {
	s := &http.Server{
		Handler: h.Handler(), TLSConfig: secure, ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelWarn),
		ReadHeaderTimeout: 10 * time.Second, ReadTimeout: time.Minute, IdleTimeout: 2 * time.Minute,
	}
	s.RegisterOnShutdown(h.EndStreams)
	ended := make(chan error, 1)
	stop := context.AfterFunc(ctx, func() {
		last, cancel := context.WithTimeout(context.WithoutCancel(ctx), 10*time.Second)
		defer cancel()
		ended <- s.Shutdown(last)
	})
	answer := s.Serve
	if secure != nil {
		answer = func(l net.Listener) error { return s.ServeTLS(l, "", "") }
	}
	if err := answer(l); !errors.Is(err, http.ErrServerClosed) {
		stop()
		return err
	}
	return <-ended
}
