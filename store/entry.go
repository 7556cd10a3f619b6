package store

import (
	"context"
	"crypto/rand"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"

	"sinterbook/store/shop"
)

// A Logged entry is one as it stands in the log.
type Logged struct {
	shop.Entry
	Seq     int64
	Numbers map[string]int64 // the entry's place in the history of each subject
	Payload string           // the canonical text that was hashed
}

// payload is an entry in the log. Its JSON is put into the canonical form of
// RFC 8785 before it is hashed; the salt keeps neighbours from being guessed
// from the hashes of a proof.
type payload struct {
	V           int               `json:"v"`
	Seq         int64             `json:"seq"`
	ID          uuid.UUID         `json:"id"`
	Salt        string            `json:"salt"`
	Kind        string            `json:"kind"`
	At          string            `json:"at"`
	Entered     string            `json:"entered"`
	Zone        string            `json:"zone"`
	By          string            `json:"by"`
	Station     string            `json:"station"`
	Device      string            `json:"device"`
	Meaning     string            `json:"meaning,omitempty"`
	Corrects    int64             `json:"corrects,omitempty"`
	Reason      string            `json:"reason,omitempty"`
	Answers     map[string]string `json:"answers,omitempty"`
	Scans       []shop.Scanned    `json:"scans,omitempty"`
	Instruction string            `json:"instruction,omitempty"`
	Paper       *shop.Paper       `json:"paper,omitempty"`
	Kept        *shop.Kept        `json:"kept,omitempty"`
	Missed      []shop.Objection  `json:"missed,omitempty"`
	N           map[string]int64  `json:"n"`
	Body        json.RawMessage   `json:"body"`
}

// appendLog numbers an entry and takes it into the log. body is the canonical
// form of its event.
func appendLog(ctx context.Context, w *session, seq int64, e shop.Entry, body []byte) error {
	numbers, err := w.number(ctx, seq, e.Subjects())
	if err != nil {
		return err
	}
	salt := make([]byte, 16)
	rand.Read(salt)
	text, err := payload{
		V: 1, Seq: seq, ID: e.ID, Salt: hex.EncodeToString(salt), Kind: e.Event.Kind(),
		At: e.At.Format(stampForm), Entered: e.Entered.Format(stampForm), Zone: e.Zone,
		By: e.By, Station: e.Station, Device: e.Device, Meaning: e.Meaning,
		Corrects: e.Corrects, Reason: e.Reason, Answers: e.Answers, Scans: e.Scans, Instruction: e.Instruction, Paper: e.Paper, Kept: e.Kept, Missed: e.Missed, N: numbers, Body: body,
	}.text()
	if err != nil {
		return err
	}
	return w.append(ctx, seq, e.ID, e.Event.Kind(), text)
}

// decodeEntry reads an entry back from its text.
func decodeEntry(text string) (Logged, error) {
	var p payload
	if err := json.Unmarshal([]byte(text), &p); err != nil {
		return Logged{}, fmt.Errorf("reading an entry: %w", err)
	}
	event, err := shop.DecodeEvent(p.Kind, p.Body)
	if err != nil {
		return Logged{}, fmt.Errorf("reading entry %d: %w", p.Seq, err)
	}
	at, err := time.Parse(stampForm, p.At)
	if err != nil {
		return Logged{}, fmt.Errorf("reading entry %d: %w", p.Seq, err)
	}
	entered, err := time.Parse(stampForm, p.Entered)
	if err != nil {
		return Logged{}, fmt.Errorf("reading entry %d: %w", p.Seq, err)
	}
	return Logged{Seq: p.Seq, Numbers: p.N, Payload: text, Entry: shop.Entry{
		ID: p.ID, At: at, Entered: entered, Zone: p.Zone, By: p.By, Station: p.Station, Device: p.Device,
		Meaning: p.Meaning, Corrects: p.Corrects, Reason: p.Reason, Answers: p.Answers, Scans: p.Scans, Instruction: p.Instruction, Paper: p.Paper, Kept: p.Kept, Missed: p.Missed, Event: event,
	}}, nil
}

func entryByID(ctx context.Context, q querier, id uuid.UUID) (Logged, error) {
	return oneEntry(q.QueryRowContext(ctx, "SELECT payload FROM entry WHERE id = $1", id[:]), "entry", id.String())
}

func entryBySeq(ctx context.Context, q querier, seq int64) (Logged, error) {
	return oneEntry(q.QueryRowContext(ctx, "SELECT payload FROM entry WHERE seq = $1", seq), "entry", fmt.Sprint(seq))
}

func oneEntry(row *sql.Row, kind, code string) (Logged, error) {
	var text string
	err := row.Scan(&text)
	if errors.Is(err, sql.ErrNoRows) {
		return Logged{}, shop.NotFound(kind, code)
	}
	if err != nil {
		return Logged{}, fmt.Errorf("reading %s %s: %w", kind, code, err)
	}
	return decodeEntry(text)
}

// lastOf is the latest entry about a subject; its Event is nil when there is
// none.
func lastOf(ctx context.Context, q querier, subject string) (Logged, error) {
	e, err := oneEntry(q.QueryRowContext(ctx, `SELECT entry.payload FROM subject_entry
		JOIN entry ON entry.seq = subject_entry.seq
		WHERE subject_entry.name = $1 ORDER BY subject_entry.n DESC LIMIT 1`, subject), "entry about", subject)
	if errors.Is(err, shop.ErrNotFound) {
		return Logged{}, nil
	}
	return e, err
}
