package main

import (
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
	"golang.org/x/mod/sumdb/note"

	"sinterbook/server"
	"sinterbook/store"
	"sinterbook/store/scenario"
	"sinterbook/store/shop"
)

// The files of a demo book. No other book has files of these names, so that
// building it again takes away nothing else.
const (
	demoBook  = "demo.db"
	demoKey   = "demo.key"
	demoState = "demo.json"
)

// demoFiles are all that a new book takes the place of, the record of the demo
// last.
var demoFiles = []string{demoBook, demoBook + "-wal", demoBook + "-shm", demoBook + "-lock", demoKey, demoState}

// A demoRecord is what the demo must know again when it is started the next
// time. The secrets stand in it as they are: the book is invented, and whoever
// reads this file reads the book beside it too.
type demoRecord struct {
	Now     time.Time     `json:"now"` // at which the folder's history ends
	People  []readySignIn `json:"people"`
	Tablets []readyTablet `json:"tablets"`
	LeftOut []string      `json:"left_out"` // what the folder says and the book cannot say yet
}

// A readyTablet is a station's tablet; who opens /tablet with its token turns
// the browser into it.
type readyTablet struct {
	Station   string `json:"station"`
	Operation string `json:"operation"`
	Device    string `json:"device"`
	Token     string `json:"token"`
}

// A readySignIn is a person of the demo with what they type.
type readySignIn struct {
	Badge    string `json:"badge"`
	Role     string `json:"role"`
	PIN      string `json:"pin"`
	Password string `json:"password"`
}

// buildDemo builds the demo book unless it is there. A build that was
// interrupted is begun again: the record of the demo is written last.
func buildDemo(ctx context.Context, o demoOptions, stdout io.Writer) error {
	if _, err := os.Stat(filepath.Join(o.data, demoState)); err == nil && !o.fresh {
		fmt.Fprintf(stdout, "The demo book stands in %s; --fresh builds it again.\n", o.data)
		return nil
	}
	folder, err := folderOf(o)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(o.data, 0o700); err != nil {
		return err
	}
	now, err := scenario.Now(folder)
	if err != nil {
		return err
	}
	// It is built beside the book that stands: a folder that is refused leaves
	// that one as it is.
	if err := clearHalfBuilt(o.data); err != nil {
		return err
	}
	fresh, err := os.MkdirTemp(o.data, halfBuilt)
	if err != nil {
		return err
	}
	defer os.RemoveAll(fresh)
	r := demoRecord{Now: now}
	if err := fillDemo(ctx, &r, fresh, folder, stdout); err != nil {
		return err
	}
	if err := r.write(fresh); err != nil {
		return err
	}
	if err := replaceDemo(o.data, fresh); err != nil {
		return err
	}
	if len(r.LeftOut) > 0 {
		fmt.Fprintf(stdout, "Not all of it can be said in the book yet; what was left out stands in %s.\n", filepath.Join(o.data, demoState))
	}
	return nil
}

// halfBuilt begins the names of folders in which a book is built.
const halfBuilt = "building-"

// clearHalfBuilt removes what builds left that were interrupted.
func clearHalfBuilt(data string) error {
	left, err := filepath.Glob(filepath.Join(data, halfBuilt+"*"))
	for _, folder := range left {
		err = errors.Join(err, os.RemoveAll(folder))
	}
	return err
}

// replaceDemo puts the files of a book that was built in place of those that
// stand. The record of the demo goes first and comes last: without it the next
// start builds again.
func replaceDemo(data, fresh string) error {
	for _, name := range slices.Backward(demoFiles) {
		if err := os.Remove(filepath.Join(data, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	for _, name := range demoFiles {
		if err := os.Rename(filepath.Join(fresh, name), filepath.Join(data, name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// fillDemo makes the book, loads the scenario and gives everyone their keys.
func fillDemo(ctx context.Context, r *demoRecord, data string, folder fs.FS, stdout io.Writer) (err error) {
	signer, verifier, err := note.GenerateKey(rand.Reader, "sinterbook-demo")
	if err != nil {
		return fmt.Errorf("making the demo's key: %w", err)
	}
	if err := os.WriteFile(filepath.Join(data, demoKey), []byte(signer+"\n"), 0o600); err != nil {
		return err
	}
	st, _, err := openDemo(ctx, data, r.Now)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	m := newMeter(stdout, "Recording the demo's history")
	entries := 0
	report, err := scenario.Load(ctx, st, folder, scenario.Options{Verifier: verifier, Progress: func(done, total int) {
		entries = total
		m.tell(int64(done), int64(total))
	}})
	m.end()
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "The demo's history was recorded: %d entries.\n", entries)
	r.LeftOut = report.Passed
	if r.People, err = giveKeys(ctx, st); err != nil {
		return err
	}
	if r.Tablets, err = giveTablets(ctx, st); err != nil {
		return err
	}
	return st.Checkpoint(ctx)
}

// openDemo opens the demo book with a clock that runs on from its newest entry
// or, if that is later, from the given moment.
func openDemo(ctx context.Context, data string, from time.Time) (*store.Store, *demoClock, error) {
	key, err := os.ReadFile(filepath.Join(data, demoKey))
	if err != nil {
		return nil, nil, fmt.Errorf("reading the demo's key: %w", err)
	}
	clock := clockFrom(from)
	st, err := store.Open(ctx, store.Options{DB: filepath.Join(data, demoBook), Now: clock.now, Signer: strings.TrimSpace(string(key))})
	if err != nil {
		return nil, nil, err
	}
	if err := clock.goOn(ctx, st); err != nil {
		return nil, nil, errors.Join(err, st.Close())
	}
	return st, clock, nil
}

// goOn moves the clock behind the newest entry, so that a demo which is
// started again never goes back in time.
func (c *demoClock) goOn(ctx context.Context, st *store.Store) error {
	b, err := st.Book(ctx)
	if errors.Is(err, shop.ErrNotFound) {
		return nil
	}
	if err != nil {
		return err
	}
	newest, err := st.Entry(ctx, b.Size-1)
	if err != nil {
		return err
	}
	if next := newest.Entered.Add(time.Second); next.After(c.from) {
		c.from = next
	}
	return nil
}

// managed records an event by the shop's quality manager.
func managed(ctx context.Context, st *store.Store, people []shop.Person, e shop.Event) error {
	zone, err := st.Zone(ctx)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(people, func(p shop.Person) bool { return p.Has(shop.QualityManager) })
	_, err = st.Record(ctx, shop.Entry{ID: uuid.Must(uuid.NewV7()), Zone: zone.String(), By: people[at].Badge, Event: e})
	return err
}

// giveTablets registers a tablet at each station.
func giveTablets(ctx context.Context, st *store.Store) ([]readyTablet, error) {
	people, err := st.People(ctx)
	if err != nil {
		return nil, err
	}
	stations, err := st.Stations(ctx)
	if err != nil {
		return nil, err
	}
	var all []readyTablet
	for _, s := range stations {
		ready := readyTablet{Station: s.Station, Operation: s.Operation, Device: "tablet-" + s.Station, Token: store.NewToken()}
		if err := managed(ctx, st, people, shop.DeviceRegistered{Device: ready.Device, Station: s.Station, Private: store.TokenHash(ready.Token)}); err != nil {
			return nil, err
		}
		all = append(all, ready)
	}
	return all, nil
}

// giveKeys gives everyone a PIN and a password.
func giveKeys(ctx context.Context, st *store.Store) ([]readySignIn, error) {
	people, err := st.People(ctx)
	if err != nil {
		return nil, err
	}
	var all []readySignIn
	for _, p := range people {
		ready := readySignIn{Badge: p.Badge, Role: p.RoleWords(), PIN: newPIN(), Password: newPassword()}
		keys, err := ready.keys()
		if err != nil {
			return nil, err
		}
		if err := managed(ctx, st, people, shop.PersonKeysSet{Badge: p.Badge, What: []string{"PIN", "password"}, Private: keys}); err != nil {
			return nil, err
		}
		all = append(all, ready)
	}
	return all, nil
}

func (s readySignIn) keys() (shop.PersonKeys, error) {
	pin, err := server.HashSecret(s.PIN)
	if err != nil {
		return shop.PersonKeys{}, err
	}
	password, err := server.HashSecret(s.Password)
	return shop.PersonKeys{PIN: pin, Password: password}, err
}

// newPIN is six digits.
func newPIN() string { return drawn("0123456789", 6) }

// newPassword is easy to type and made anew for each demo book.
func newPassword() string {
	var groups []string
	for range 4 {
		groups = append(groups, drawn("bdfgklmnprstvz", 1)+drawn("aeiou", 1)+drawn("bdfgklmnprstvz", 1)+drawn("aeiou", 1))
	}
	return strings.Join(groups, "-")
}

// drawn is n letters at random.
func drawn(letters string, n int) string {
	var text strings.Builder
	for range n {
		i, err := rand.Int(rand.Reader, big.NewInt(int64(len(letters))))
		if err != nil {
			panic(err) // crypto/rand.Reader never fails
		}
		text.WriteByte(letters[i.Int64()])
	}
	return text.String()
}

func (r demoRecord) write(data string) error {
	text, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(data, demoState), append(text, '\n'), 0o600)
}

func readDemo(data string) (r demoRecord, err error) {
	text, err := os.ReadFile(filepath.Join(data, demoState))
	if err != nil {
		return r, err
	}
	if err := json.Unmarshal(text, &r); err != nil {
		return r, fmt.Errorf("reading %s: %w", demoState, err)
	}
	return r, nil
}

// demoKinds are the four kinds of user whose sign-ins are shown, with the
// operation at whose station they work.
var demoKinds = []struct {
	role shop.Role
	is   string
	at   string
}{
	{shop.PrintOperator, "operator", shop.OpPrint}, {shop.Toolmaker, "toolmaker", shop.OpFit}, {shop.QualityManager, "quality manager", ""}, {shop.Auditor, "auditor", ""},
}

// print shows the sign-in of the first person of each kind, and the address
// that turns a browser into the tablet of their station.
func (r demoRecord) print(w io.Writer, base string) {
	for _, k := range demoKinds {
		for _, p := range r.People {
			if p.Role == string(k.role) {
				fmt.Fprintf(w, "  %-16s badge %s   PIN %s   password %s\n", k.is, p.Badge, p.PIN, p.Password)
				break
			}
		}
		at := slices.IndexFunc(r.Tablets, func(t readyTablet) bool { return t.Operation == k.at })
		if at >= 0 {
			fmt.Fprintf(w, "  %-16s %s\n", "  at "+r.Tablets[at].Station, base+server.TabletPath(r.Tablets[at].Token))
		}
	}
}
