package server

import (
	"errors"
	"fmt"
	"math"
	"net"
	"net/http"
	"net/netip"
	"strings"

	"sinterbook/store"
	"sinterbook/store/shop"
	"sinterbook/views"
)

// peer is where a request comes from: the address of the connection, never
// what a header says. An IPv6 network counts as one.
func peer(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		host = r.RemoteAddr
	}
	ip, err := netip.ParseAddr(host)
	if err != nil {
		return host
	}
	ip = ip.Unmap().WithZone("")
	if ip.Is6() {
		if network, err := ip.Prefix(64); err == nil {
			return network.String()
		}
	}
	return ip.String()
}

// spelled is a badge as it is counted: however it is written.
func spelled(badge string) string { return strings.ToLower(strings.TrimSpace(badge)) }

// secretOf is the hash by which a person is known.
type secretOf func(shop.PersonKeys) string

func pinOf(k shop.PersonKeys) string      { return k.PIN }
func passwordOf(k shop.PersonKeys) string { return k.Password }

// prove compares what was typed with a person's secret, or with each of two. Tries are counted
// where they come from; one too many is a *store.TooSoon. What nobody has
// takes as long and is as wrong.
func (s *Server) prove(r *http.Request, badge, secret string, of ...secretOf) (bool, error) {
	id, err := s.store.Try(r.Context(), spelled(badge), peer(r))
	if err != nil {
		if wait, soon := errors.AsType[*store.TooSoon](err); soon {
			s.log.Warn("too many wrong sign-ins", "peer", peer(r), "wait", wait.Wait)
		}
		return false, err
	}
	keys, err := s.store.Keys(r.Context(), badge)
	if err != nil {
		return false, err
	}
	for _, hash := range of {
		right, err := s.hashes.right(r.Context(), secret, hash(keys))
		if err != nil {
			return false, err
		}
		if right {
			return true, s.store.Good(r.Context(), id)
		}
	}
	s.log.Warn("wrong sign-in", "peer", peer(r))
	return false, nil
}

// tooMany says how long to wait, in whole seconds.
func tooMany(soon *store.TooSoon) (seconds int, why string) {
	seconds = max(1, int(math.Ceil(soon.Wait.Seconds())))
	word := "seconds"
	if seconds == 1 {
		word = "second"
	}
	return seconds, fmt.Sprintf("Too many wrong tries from here: try again in %d %s. Everyone else can sign in as before.", seconds, word)
}

// signed asks for the PIN that stands for a signature.
func (s *Server) signed(r *http.Request, f *views.Form) (ok bool, err error) {
	why, err := s.signature(r, f.Value("pin"))
	f.Values.Del("pin")
	if err != nil || why == "" {
		return err == nil, err
	}
	f.Wrong = map[string]string{"pin": why + " Nothing was recorded."}
	return false, nil
}

// signature says why a PIN is not the one of who is signed in; "" when it is.
func (s *Server) signature(r *http.Request, pin string) (why string, err error) {
	badge := visitorOf(r).Person.Badge
	if pin == "" {
		return "Your PIN is missing: it stands for your signature.", nil
	}
	keys, err := s.store.Keys(r.Context(), badge)
	if err != nil {
		return "", err
	}
	if keys.PIN == "" {
		return "You have no PIN yet: set one on the page of your badge.", nil
	}
	right, err := s.prove(r, badge, pin, pinOf)
	if soon, ok := errors.AsType[*store.TooSoon](err); ok {
		_, why = tooMany(soon)
		return why, nil
	}
	if err == nil && !right {
		why = "That is not the PIN of badge " + badge + "."
	}
	return why, err
}

// recordSigned records an event that a person signs: it asks for their PIN and
// stores what the signature means.
func (s *Server) recordSigned(r *http.Request, f *views.Form, e shop.Event, meaning string) (ok bool, err error) {
	if err := visitorOf(r).Person.MayRecord(e); err != nil {
		return false, err
	}
	if done, err := s.saidRead(r, f); done || err != nil {
		return false, err
	}
	if err := shop.Check(e); err != nil { // nobody signs what cannot be recorded
		f.Values.Del("pin")
		return false, returned(f, err)
	}
	if ok, err := s.signed(r, f); err != nil || !ok {
		return false, err
	}
	return s.recordAs(r, f, e, meaning)
}
