package store

import (
	"fmt"
	"sync"
	"time"
)

// zones keeps the few time zones that a book names: reading one from the
// system takes longer than recording an entry.
var zones sync.Map

func loadZone(name string) (*time.Location, error) {
	if z, ok := zones.Load(name); ok {
		return z.(*time.Location), nil
	}
	z, err := time.LoadLocation(name)
	if err != nil {
		return nil, fmt.Errorf("time zone %q: %w", name, err)
	}
	zones.Store(name, z)
	return z, nil
}
