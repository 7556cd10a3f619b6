package store

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"time"

	"github.com/google/uuid"

	"sinterbook/store/shop"
)

// A job is one command that waits for the writer. run gets the number of
// entries in the log and counts it up for each one it appends. It runs once
// more where what it wrote at first was undone together with what others wrote.
type job struct {
	ctx  context.Context
	id   uuid.UUID // of the entry that it records, uuid.Nil for what records none
	run  func(ctx context.Context, w *session, size *int64) error
	done chan error
}

// submit hands a command to the writer and waits for its commit. A command
// whose context ends before its turn is skipped; after that it is carried
// through, so that the answer is the truth.
func (s *Store) submit(ctx context.Context, run func(context.Context, *session, *int64) error) error {
	return s.wait(&job{ctx: ctx, run: run})
}

func (s *Store) wait(j *job) error {
	j.done = make(chan error, 1)
	select {
	case <-s.quit:
		return &shop.Refusal{Kind: shop.ErrBusy, Why: "The service is stopping. Nothing was recorded."}
	default:
	}
	select {
	case s.jobs <- j:
	default:
		return &shop.Refusal{Kind: shop.ErrBusy, Why: "Too many are recording at once. Nothing was recorded; try again in a moment."}
	}
	select {
	case err := <-j.done:
		return err
	case <-s.quit:
	}
	select { // the writer finishes what it took on
	case err := <-j.done:
		return err
	case <-time.After(10 * time.Second):
		return &shop.Refusal{Kind: shop.ErrBusy, Why: "The service is stopping. Look whether it was recorded."}
	}
}

// work is the one writer: commands that wait together share a commit.
func (s *Store) work(w *session) {
	defer func() {
		if err := w.close(); err != nil {
			s.log.Error("closing the writer", "err", err)
		}
	}()
	for {
		select {
		case j := <-s.jobs:
			s.commit(w, s.gather(j))
		case <-s.quit:
			for {
				select {
				case j := <-s.jobs:
					s.commit(w, s.gather(j))
				default:
					return
				}
			}
		}
	}
}

// gather takes what waits already. It never waits itself, since the next batch
// forms while this one is synced; but those who have their answer from the last
// one get the processor first, so that their next command is in this one.
func (s *Store) gather(first *job) []*job {
	runtime.Gosched()
	batch := []*job{first}
	for len(batch) < together {
		select {
		case j := <-s.jobs:
			batch = append(batch, j)
		default:
			return batch
		}
	}
	return batch
}

// commit runs a batch in one transaction and answers everyone.
func (s *Store) commit(w *session, batch []*job) {
	answers := make([]error, len(batch))
	err := s.transact(w, batch, answers)
	for i, j := range batch {
		if err != nil {
			answers[i] = err
		}
		j.done <- answers[i]
	}
	if err == nil {
		s.watch.ring()
	}
}

// errUndo says that a command failed after it had written something.
var errUndo = errors.New("a command must be undone")

// transact runs a batch in one transaction. Few commands fail once they have
// begun to write; so none gets a savepoint, which costs as much as a row, until
// one does: then all is undone, and run again with savepoints.
func (s *Store) transact(w *session, batch []*job, answers []error) error {
	err := s.attempt(w, batch, answers, s.runOne)
	if errors.Is(err, errUndo) && len(batch) > 1 {
		err = s.attempt(w, batch, answers, s.runSaved)
	}
	if errors.Is(err, errUndo) {
		return nil // it was alone, and has its answer
	}
	return err
}

// A runner runs one command. answer goes to whoever asked; err ends the whole
// batch.
type runner func(w *session, j *job, size *int64) (answer, err error)

func (s *Store) attempt(w *session, batch []*job, answers []error, run runner) error {
	ctx, before := context.Background(), w.writes
	if err := w.exec(ctx, s.dialect.begin); err != nil {
		return dbErr("opening a transaction", err)
	}
	err := s.runAll(ctx, w, batch, answers, run)
	if err == nil {
		err = w.exec(ctx, "COMMIT")
	}
	if err != nil {
		w.forget()
		w.size = -1
		undone := w.exec(ctx, "ROLLBACK")
		if errors.Is(err, errUndo) {
			return cmp.Or(undone, errUndo)
		}
		return errors.Join(dbErr("committing", err), undone)
	}
	if w.wroteTo(visiting, before) {
		s.recent.drop()
	}
	return nil
}

func (s *Store) runAll(ctx context.Context, w *session, batch []*job, answers []error, run runner) error {
	var size int64
	// The first statement takes the write lock on both databases, so that
	// what is checked below cannot change before it is applied.
	if err := w.QueryRowContext(ctx, "UPDATE head SET size = size WHERE id = 1 RETURNING size").Scan(&size); err != nil {
		return fmt.Errorf("taking the log's head: %w", err)
	}
	if size != w.size {
		w.forget() // another server wrote
		s.recent.drop()
	}
	if err := w.lookUp(ctx, batch); err != nil {
		return err
	}
	began := size
	for i, j := range batch {
		if answers[i] = j.ctx.Err(); answers[i] != nil {
			continue
		}
		var err error
		if answers[i], err = run(w, j, &size); err != nil {
			return err
		}
	}
	w.size = size
	if size != began {
		if err := w.later(ctx, "UPDATE head SET size = $1 WHERE id = 1", size); err != nil {
			return fmt.Errorf("moving the log's head: %w", err)
		}
	}
	return w.flush(ctx)
}

// idsAtOnce are the numbers of ids that one statement looks up.
var idsAtOnce = [...]int{1, 8, 32, together}

var entriesOfIDs = func() (texts [len(idsAtOnce)]string) {
	for i, n := range idsAtOnce {
		texts[i] = "SELECT id FROM entry WHERE id IN (" + placeholders(1, n) + ")"
	}
	return texts
}()

// placeholders are n of them, as "$1, $2".
func placeholders(from, n int) string {
	all := make([]string, n)
	for i := range all {
		all[i] = fmt.Sprintf("$%d", from+i)
	}
	return strings.Join(all, ", ")
}

// lookUp finds which of a batch's commands are in the log already.
func (w *session) lookUp(ctx context.Context, batch []*job) error {
	clear(w.standing)
	var ids []any
	for _, j := range batch {
		if j.id != uuid.Nil {
			ids = append(ids, j.id[:])
		}
	}
	if len(ids) == 0 {
		return nil
	}
	n := len(idsAtOnce) - 1
	for n > 0 && idsAtOnce[n-1] >= len(ids) {
		n--
	}
	for len(ids) < idsAtOnce[n] {
		ids = append(ids, ids[0]) // so that there are few statements
	}
	found, err := list(ctx, w, "commands", func(row scanner) (id []byte, err error) { return id, row.Scan(&id) }, entriesOfIDs[n], ids...)
	for _, id := range found {
		w.standing[uuid.UUID(id)] = true
	}
	return err
}

// runOne runs a command without a savepoint. What it answers stands unless it
// failed and had written something, or failed in a way that is no plain no.
func (s *Store) runOne(w *session, j *job, size *int64) (answer, err error) {
	w.changed = false
	answer = j.run(context.WithoutCancel(j.ctx), w, size)
	if n, ok := errors.AsType[noted](answer); ok {
		return n.error, nil
	}
	if answer != nil && (w.changed || !plainNo(answer)) {
		return answer, errUndo
	}
	return answer, nil
}

// plainNo reports whether an error is an answer to a person, after which the
// transaction can go on.
func plainNo(err error) bool {
	_, refusal := errors.AsType[*shop.Refusal](err)
	_, invalid := errors.AsType[*shop.Invalid](err)
	return refusal || invalid
}

// runSaved runs a command in a savepoint of its own.
func (s *Store) runSaved(w *session, j *job, size *int64) (answer, err error) {
	ctx := context.WithoutCancel(j.ctx)
	if err := w.exec(ctx, "SAVEPOINT one"); err != nil {
		return nil, err
	}
	before := *size
	answer = j.run(ctx, w, size)
	n, good := errors.AsType[noted](answer)
	if good {
		answer = n.error
	}
	if good || answer == nil {
		if err := w.flush(ctx); err != nil {
			good, answer = false, err
		}
	}
	if answer != nil && !good {
		*size = before
		w.forget()
		if err := w.exec(ctx, "ROLLBACK TO SAVEPOINT one"); err != nil {
			return nil, err
		}
	}
	return answer, w.exec(ctx, "RELEASE SAVEPOINT one")
}

// How soon after it opens, and then how often, a book looks how it has grown.
const (
	plansAfter = time.Minute
	plansEvery = 24 * time.Hour
)

// checkpointer moves the write-ahead log into the file on a connection of its
// own, so that no commit has to, and lets SQLite learn how the book has grown.
func (s *Store) checkpointer() {
	tick, grown := time.NewTicker(250*time.Millisecond), time.NewTimer(plansAfter)
	defer tick.Stop()
	defer grown.Stop()
	for {
		select {
		case <-s.quit:
			return
		case <-tick.C:
			if _, err := s.write.Exec(s.dialect.checkpoint); err != nil {
				s.log.Warn("moving the write-ahead log", "err", err)
			}
		case <-grown.C:
			if _, err := s.write.Exec(s.dialect.plan); err != nil {
				s.log.Warn("looking how the book has grown", "err", err)
			}
			grown.Reset(plansEvery)
		}
	}
}

// dbErr wraps a database's error; one that means "come again" becomes a
// Refusal that says so.
func dbErr(doing string, err error) error {
	if errors.Is(kindOf(err), shop.ErrBusy) {
		return fmt.Errorf("%s: %w", doing, errors.Join(&shop.Refusal{Kind: shop.ErrBusy, Why: "The book is busy. Nothing was recorded; try again."}, err))
	}
	return fmt.Errorf("%s: %w", doing, err)
}
