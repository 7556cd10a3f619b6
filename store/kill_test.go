package store

import (
	"bufio"
	"context"
	commandline "flag" // flag is a function of ours
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"sinterbook/store/outside"
	"sinterbook/store/shop"
)

var kills = commandline.Int("kills", 5, "how often the recording program is killed")

// The environment of a child that records until it is killed.
const (
	childBook    = "SINTERBOOK_TEST_CHILD_BOOK"
	childClients = "SINTERBOOK_TEST_CHILD_CLIENTS"
	childFirst   = "SINTERBOOK_TEST_CHILD_FIRST" // number of the first layer it records
)

// TestMain lets the test program be the program that is killed.
func TestMain(m *testing.M) {
	if address := os.Getenv(childBook); address != "" {
		fmt.Fprintln(os.Stderr, recordUntilKilled(address))
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// recordUntilKilled records layers by several clients at once and says of each
// that was acknowledged its place in the log, its number and its id.
func recordUntilKilled(address string) error {
	ctx := context.Background()
	clients, err := strconv.Atoi(os.Getenv(childClients))
	if err != nil {
		return err
	}
	first, err := strconv.ParseInt(os.Getenv(childFirst), 10, 64)
	if err != nil {
		return err
	}
	s, err := Open(ctx, Options{DB: address, Signer: os.Getenv("SINTERBOOK_TEST_CHILD_SIGNER")})
	if err != nil {
		return err
	}
	failed := make(chan error)
	var said sync.Mutex
	var next atomic.Int64
	next.Store(first - 1)
	for range clients {
		go func() {
			for {
				n := int(next.Add(1))
				e := entryBy("204", shop.LayersMade{Insert: "I-0001", FromLayer: n, ToLayer: n})
				r, err := s.Record(ctx, e)
				if err != nil {
					failed <- err
					return
				}
				said.Lock()
				fmt.Printf("%d %d %s\n", r.Seq, n, e.ID)
				said.Unlock()
			}
		}()
	}
	for {
		select {
		case err := <-failed:
			return err
		case <-time.After(15 * time.Millisecond):
			if err := s.Checkpoint(ctx); err != nil {
				return err
			}
		}
	}
}

// A killable is a child that records.
type killable struct {
	cmd  *exec.Cmd
	out  io.ReadCloser
	mu   sync.Mutex
	acks []ack
	read sync.WaitGroup
}

// An ack is one entry that the child said was recorded.
type ack struct {
	seq int64
	n   int
	id  string
}

// recording starts a child and waits for its first acknowledgement.
func recording(t *testing.T, address string, clients, first int) *killable {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self)
	c.Env = append(os.Environ(), childBook+"="+address, fmt.Sprintf("%s=%d", childClients, clients), fmt.Sprintf("%s=%d", childFirst, first), "SINTERBOOK_TEST_CHILD_SIGNER="+testSigner)
	var said strings.Builder
	c.Stderr = &said
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	r := &killable{cmd: c, out: out}
	begun := make(chan struct{})
	r.read.Go(func() { r.follow(begun) })
	t.Cleanup(r.kill)
	select {
	case <-begun:
	case <-time.After(30 * time.Second):
		r.kill()
		t.Fatalf("nothing was recorded; the child says %q", said.String())
	}
	return r
}

// follow reads the acknowledgements; a line that was cut by the end is none.
func (r *killable) follow(begun chan struct{}) {
	b := bufio.NewReader(r.out)
	for {
		text, err := b.ReadString('\n')
		if err != nil {
			return
		}
		var a ack
		if _, err := fmt.Sscanf(text, "%d %d %s\n", &a.seq, &a.n, &a.id); err != nil {
			return
		}
		r.mu.Lock()
		if r.acks = append(r.acks, a); len(r.acks) == 1 {
			close(begun)
		}
		r.mu.Unlock()
	}
}

func (r *killable) acknowledged() []ack {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.acks[:len(r.acks):len(r.acks)]
}

// kill ends the child without giving it a moment, and reads what it said.
func (r *killable) kill() {
	_ = r.cmd.Process.Kill() // twice is no harm
	r.read.Wait()
	_ = r.cmd.Wait() // it says that it was killed
}

// Whatever was acknowledged before the program is killed is in the log after
// it, and the book is whole.
func TestKilledWhileRecording(t *testing.T) {
	t.Parallel()
	for name, addressOf := range map[string]func(testing.TB) string{"sqlite": liteAddress, "postgres": outside.Schema} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			address := addressOf(t)
			s := openAt(t, address, newClock(day))
			seeded(t, s)
			opened(t, s, "I-0001")
			put(t, s, "204", printStart("I-0001", "PL-01"))
			if err := s.Close(); err != nil {
				t.Fatal(err)
			}
			total := 0
			for range *kills {
				r := recording(t, address, 8, 1)
				pause := rand.N(300 * time.Millisecond)
				time.Sleep(pause)
				r.kill()
				total += len(r.acknowledged())
				afterKill(t, address, r.acknowledged(), pause)
			}
			t.Logf("%d acknowledged entries in %d kills", total, *kills)
		})
	}
}

func afterKill(t *testing.T, address string, acks []ack, pause time.Duration) {
	t.Helper()
	s, err := Open(t.Context(), Options{DB: address})
	if err != nil {
		t.Fatalf("killed after %v: %v", pause, err)
	}
	defer s.Close()
	for _, a := range acks {
		e, err := entryBySeq(t.Context(), s.db, a.seq)
		if err != nil || e.ID.String() != a.id {
			t.Fatalf("killed after %v: entry %d is %v (%v); acknowledged was %s", pause, a.seq, e.ID, err, a.id)
		}
	}
	if _, err := s.Verify(t.Context(), nil); err != nil {
		t.Fatalf("killed after %v and %d acknowledgements: %v", pause, len(acks), err)
	}
}
