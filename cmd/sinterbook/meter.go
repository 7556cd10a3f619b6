package main

import (
	"fmt"
	"io"
	"os"
	"time"
)

// A meter shows how far a command is: one line that changes on a terminal,
// elsewhere a line now and then.
type meter struct {
	to       io.Writer
	doing    string
	terminal bool
	every    time.Duration
	last     time.Time
	shown    bool
}

func newMeter(to io.Writer, doing string) *meter {
	m := &meter{to: to, doing: doing, every: 10 * time.Second, last: time.Now()}
	if f, ok := to.(*os.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode()&os.ModeCharDevice != 0 {
			m.terminal, m.every = true, 100*time.Millisecond
		}
	}
	return m
}

// tell shows the progress, unless it was shown a moment ago.
func (m *meter) tell(done, total int64) {
	if now := time.Now(); now.Sub(m.last) >= m.every {
		m.last = now
		m.show(done, total)
	}
}

func (m *meter) show(done, total int64) {
	percent := int64(100)
	if total > 0 {
		percent = done * 100 / total
	}
	if m.terminal {
		fmt.Fprintf(m.to, "\r%s: %d %% of %d", m.doing, percent, total)
		m.shown = true
		return
	}
	fmt.Fprintf(m.to, "%s: %d %% of %d\n", m.doing, percent, total)
}

// end clears the line for what comes next.
func (m *meter) end() {
	if m.shown {
		fmt.Fprint(m.to, "\r\033[K")
	}
}
