package store

import (
	"context"
	"sync"
	"time"
)

// A Change says what was recorded since the one before it: the entries from
// From up to, not including, Size.
//
// The first one that a watcher gets has none and says from where on it is told.
type Change struct {
	From, Size int64

	// Entries are those entries, in order; all watchers share them. They are
	// nil where a watcher was too slow or there were too many: Store.Entries
	// reads them from the log.
	Entries []Logged
}

const (
	watchEvery  = time.Second // how soon what another server recorded is noticed
	watchAhead  = 16          // changes that wait for a watcher
	watchAtOnce = 200         // entries that one change carries
)

// A watch tells everybody who wants to know of what is recorded. One goroutine
// does, while there is somebody to tell; the writer only rings its bell.
type watch struct {
	bell chan struct{}

	mu       sync.Mutex
	watchers map[*watcher]bool
	size     int64 // of the log as far as it was told
	going    bool
	closed   bool
}

// A watcher is one who is told.
type watcher struct {
	changes chan Change
	told    int64 // the size that was said last, -1 before the first
	forget  func() bool
}

func newWatch() *watch {
	return &watch{bell: make(chan struct{}, 1), watchers: map[*watcher]bool{}}
}

// ring says that there may be something to tell. It never waits.
func (w *watch) ring() {
	select {
	case w.bell <- struct{}{}:
	default:
	}
}

// Watch tells of every change of the log from now on, also of what other
// servers record in the same book. The channel is closed when ctx ends, or the
// store. Who does not take what is told holds nobody up, but is told in fewer,
// larger changes.
func (s *Store) Watch(ctx context.Context) <-chan Change {
	me := &watcher{changes: make(chan Change, watchAhead), told: -1}
	w := s.watch
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.closed {
		close(me.changes)
		return me.changes
	}
	w.watchers[me] = true
	me.forget = context.AfterFunc(ctx, func() {
		w.mu.Lock()
		defer w.mu.Unlock()
		w.dismiss(me)
	})
	if !w.going {
		w.going = true
		s.ended.Go(s.tell)
	}
	w.ring()
	return me.changes
}

// dismiss closes a watcher's channel, once. The watch is locked.
func (w *watch) dismiss(me *watcher) {
	if w.watchers[me] {
		delete(w.watchers, me)
		close(me.changes)
	}
}

// close sends everybody home; whoever comes later is sent home at once.
func (w *watch) close() {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.closed = true
	for me := range w.watchers {
		me.forget()
		w.dismiss(me)
	}
}

// idle ends the watch while nobody listens.
func (w *watch) idle() bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.going = len(w.watchers) > 0
	return !w.going
}

// tell is the goroutine of the watch.
func (s *Store) tell() {
	w := s.watch
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	s.ended.Go(func() { // a read that hangs does not hold up Close
		select {
		case <-s.quit:
			cancel()
		case <-ctx.Done():
		}
	})
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	w.size = -1
	for failing := false; !w.idle(); {
		err := s.tellAll(ctx)
		if err != nil && !failing && ctx.Err() == nil {
			s.log.Warn("watching the log", "err", err)
		}
		failing = err != nil
		select {
		case <-s.quit:
		case <-w.bell:
		case <-tick.C:
		}
	}
}

// tellAll reads what is new and tells everybody.
func (s *Store) tellAll(ctx context.Context) error {
	var size int64
	if err := s.db.QueryRowContext(ctx, "SELECT size FROM head WHERE id = 1").Scan(&size); err != nil {
		return err
	}
	w := s.watch
	c := Change{From: w.size, Size: size}
	if w.size < 0 {
		c.From = size
	}
	if n := size - c.From; n > 0 && n <= watchAtOnce {
		var err error
		if c.Entries, err = s.Entries(ctx, c.From, int(n)); err != nil {
			return err
		}
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.size = size
	for me := range w.watchers {
		me.tell(c)
	}
	return nil
}

// tell puts a change before a watcher. Where no more fits, all that waits
// becomes one change without its entries.
func (me *watcher) tell(c Change) {
	switch {
	case me.told < 0:
		c = Change{From: c.Size, Size: c.Size}
	case me.told == c.Size:
		return
	}
	select {
	case me.changes <- c:
	default:
		me.changes <- Change{From: min(c.From, me.drained()), Size: c.Size}
	}
	me.told = c.Size
}

// drained takes back what waits and was not taken, and says where it began.
// Only the watch sends, so that there is room after it.
func (me *watcher) drained() (from int64) {
	from = me.told
	for range watchAhead {
		select {
		case old := <-me.changes:
			from = min(from, old.From)
		default:
			return from
		}
	}
	return from
}
