package store

import (
	"context"
	"errors"
	"fmt"
	"time"

	"sinterbook/store/shop"
)

// A job is one command that waits for the writer. run gets the number of
// entries in the log and counts it up for each one it appends.
type job struct {
	ctx  context.Context
	run  func(ctx context.Context, w *session, size *int64) error
	done chan error
}

// submit hands a command to the writer and waits for its commit. A command
// whose context ends before its turn is skipped; after that it is carried
// through, so that the answer is the truth.
func (s *Store) submit(ctx context.Context, run func(context.Context, *session, *int64) error) error {
	j := &job{ctx: ctx, run: run, done: make(chan error, 1)}
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

// gather takes what waits already; it never waits itself, since the next batch
// forms while this one is synced.
func (s *Store) gather(first *job) []*job {
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

func (s *Store) transact(w *session, batch []*job, answers []error) error {
	ctx := context.Background()
	if err := w.exec(ctx, s.dialect.begin); err != nil {
		return dbErr("opening a transaction", err)
	}
	err := s.runAll(ctx, w, batch, answers)
	if err == nil {
		err = w.exec(ctx, "COMMIT")
	}
	if err != nil {
		w.forget()
		w.size = -1
		return errors.Join(dbErr("committing", err), w.exec(ctx, "ROLLBACK"))
	}
	return nil
}

func (s *Store) runAll(ctx context.Context, w *session, batch []*job, answers []error) error {
	var size int64
	// The first statement takes the write lock on both databases, so that
	// what is checked below cannot change before it is applied.
	if err := w.QueryRowContext(ctx, "UPDATE head SET size = size WHERE id = 1 RETURNING size").Scan(&size); err != nil {
		return fmt.Errorf("taking the log's head: %w", err)
	}
	if size != w.size {
		w.forget() // another server wrote
	}
	began := size
	for i, j := range batch {
		if j.ctx.Err() != nil {
			answers[i] = j.ctx.Err()
			continue
		}
		var err error
		if answers[i], err = s.runOne(w, j, &size); err != nil {
			return err
		}
	}
	w.size = size
	if size == began {
		return nil
	}
	if _, err := w.ExecContext(ctx, "UPDATE head SET size = $1 WHERE id = 1", size); err != nil {
		return fmt.Errorf("moving the log's head: %w", err)
	}
	return nil
}

// runOne runs a command in its own savepoint. answer goes to whoever asked;
// err ends the whole batch.
func (s *Store) runOne(w *session, j *job, size *int64) (answer, err error) {
	ctx := context.WithoutCancel(j.ctx)
	if err := w.exec(ctx, "SAVEPOINT one"); err != nil {
		return nil, err
	}
	before := *size
	answer = j.run(ctx, w, size)
	if n, ok := errors.AsType[noted](answer); ok {
		return n.error, w.exec(ctx, "RELEASE SAVEPOINT one")
	}
	if answer == nil {
		return nil, w.exec(ctx, "RELEASE SAVEPOINT one")
	}
	*size = before
	w.forget()
	if err := w.exec(ctx, "ROLLBACK TO SAVEPOINT one"); err != nil {
		return nil, err
	}
	return answer, w.exec(ctx, "RELEASE SAVEPOINT one")
}

// checkpointer moves the write-ahead log into the file on a connection of its
// own, so that no commit has to.
func (s *Store) checkpointer() {
	tick := time.NewTicker(250 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-s.quit:
			return
		case <-tick.C:
			if _, err := s.write.Exec(s.dialect.checkpoint); err != nil {
				s.log.Warn("moving the write-ahead log", "err", err)
			}
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
