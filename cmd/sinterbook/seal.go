package main

import (
	"context"
	"log/slog"
	"sync"
	"time"

	"sinterbook/store"
)

// sealEvery is the longest that the log waits for its next checkpoint.
const sealEvery = time.Hour

// shiftEnds are the hours of the shop's day at which a shift ends.
var shiftEnds = []int{6, 14, 22}

// sealing signs the log now and then: at once, every hour, at the end of each
// shift, and when it is stopped. A log that did not grow is not signed again.
func sealing(st *store.Store, log *slog.Logger) (stop func()) {
	seal := func() {
		if err := st.Checkpoint(context.Background()); err != nil {
			log.Warn("no checkpoint was signed", "err", err)
		}
	}
	quit := make(chan struct{})
	var ended sync.WaitGroup
	ended.Go(func() {
		for {
			seal()
			select {
			case <-time.After(untilSeal(st)):
			case <-quit:
				return
			}
		}
	})
	return func() {
		close(quit)
		ended.Wait()
		seal()
	}
}

// untilSeal is how long to wait for the next checkpoint: an hour, or less where
// a shift ends before. A book that nobody set up has no time zone and no shift.
func untilSeal(st *store.Store) time.Duration {
	zone, err := st.Zone(context.Background())
	if err != nil {
		return sealEvery
	}
	now := st.Now()
	return min(sealEvery, shiftEnd(now, zone).Sub(now))
}

// shiftEnd is the first end of a shift after a moment.
func shiftEnd(now time.Time, zone *time.Location) time.Time {
	year, month, day := now.In(zone).Date()
	for ; ; day++ {
		for _, hour := range shiftEnds {
			if end := time.Date(year, month, day, hour, 0, 0, 0, zone); end.After(now) {
				return end
			}
		}
	}
}
