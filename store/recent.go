package store

import (
	"sync"
	"time"
)

// recent keeps what every request asks: who holds its token, and who that is.
// It is dropped by what this store commits about it, and is never older than
// recentFor, for what another server, or a command at the shell, commits.
type recent struct {
	mu    sync.Mutex
	known map[string]recentAnswer
}

type recentAnswer struct {
	value any
	at    time.Time
}

// recentFor is in real time: it bounds what is wrong, not what the shop sees.
const recentFor = time.Second

// visiting are the tables from which it is read.
var visiting = []string{"session", "private_person", "person", "authorisation", "station"}

// drop forgets everything, also what is being read just now.
func (r *recent) drop() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.known = nil
}

// now is the map in which an answer is to be put that is read after this.
func (r *recent) now() map[string]recentAnswer {
	if r.known == nil || len(r.known) >= keptAtMost {
		r.known = map[string]recentAnswer{}
	}
	return r.known
}

// recently answers from memory, or loads and keeps.
func recently[T any](r *recent, key string, load func() (T, error)) (T, error) {
	r.mu.Lock()
	known := r.now()
	a, ok := known[key]
	r.mu.Unlock()
	began := time.Now()
	if ok && began.Sub(a.at) < recentFor {
		return a.value.(T), nil
	}
	v, err := load()
	if err != nil {
		return v, err
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	known[key] = recentAnswer{v, began} // lost where it was dropped meanwhile
	return v, nil
}
