package store

import (
	"context"
	"time"

	"sinterbook/store/shop"
)

// Policies lists every decision about a gate, oldest first.
func (s *Store) Policies(ctx context.Context) ([]shop.Policy, error) { return policiesOf(ctx, s.db) }

func policiesOf(ctx context.Context, q querier) ([]shop.Policy, error) {
	return list(ctx, q, "policies", func(row scanner) (shop.Policy, error) {
		var p shop.Policy
		var from stamp
		err := row.Scan(&p.Gate, &p.Operation, &from, &p.Mode)
		p.From = from.Time
		return p, err
	}, "SELECT gate, operation, from_at, mode FROM policy ORDER BY from_at, seq")
}

// checkPolicy refuses a policy that would judge what was judged already.
func checkPolicy(e shop.Entry, ev shop.PolicySet) error {
	if ev.From.Before(e.Entered.Add(-time.Minute)) {
		return shop.Wrong("from", "A policy cannot hold from before it was set: it holds from now on, or from a time to come.")
	}
	return nil
}

func (a applying) policySet(e shop.PolicySet) error {
	return a.exec("INSERT INTO policy (seq, gate, operation, from_at, mode, note) VALUES ($1, $2, $3, $4, $5, $6)",
		a.seq, e.Gate, e.Op, stamp{e.From}, e.Mode, e.Note)
}

// A Refused is a gate that said no.
type Refused struct {
	Seq     int64
	Tried   string
	Subject string
	Gate    string
	Why     string
	At      stamp
	By      string
	Station string
}

// Refusals lists what gates said no to about a thing, newest first.
func (s *Store) Refusals(ctx context.Context, subject string) ([]Refused, error) {
	return list(ctx, s.db, "refusals", func(row scanner) (Refused, error) {
		var r Refused
		err := row.Scan(&r.Seq, &r.Tried, &r.Subject, &r.Gate, &r.Why, &r.At, &r.By, &r.Station)
		return r, err
	}, "SELECT seq, tried, subject, gate, why, at, by_badge, station FROM refusal WHERE subject = $1 ORDER BY seq DESC LIMIT 50", subject)
}

func (a applying) gateRefused(e shop.GateRefused) error {
	first := e.Objections[0]
	return a.exec("INSERT INTO refusal (seq, tried, subject, operation, gate, why, at, entered_at, by_badge, station) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
		a.seq, e.Tried, e.On[0], e.Operation, first.Gate, first.Why, a.at(), stamp{a.Entered}, a.By, a.Station)
}

// refusedJustNow reports whether the same no was given to the same person at
// the same station moments ago.
func refusedJustNow(ctx context.Context, q querier, e shop.Entry) (bool, error) {
	no := e.Event.(shop.GateRefused)
	last, err := list(ctx, q, "refusals", func(row scanner) (bool, error) {
		var tried, gate, by, station string
		var entered stamp
		err := row.Scan(&tried, &gate, &by, &station, &entered)
		same := tried == no.Tried && gate == no.Objections[0].Gate && by == e.By && station == e.Station
		return same && e.Entered.Sub(entered.Time).Abs() <= twice, err
	}, "SELECT tried, gate, by_badge, station, entered_at FROM refusal WHERE subject = $1 ORDER BY seq DESC LIMIT 1", no.On[0])
	return len(last) == 1 && last[0], err
}
