package store

import (
	"context"
	"fmt"
	"time"

	"sinterbook/store/shop"
)

// A Book is what the log says of itself.
type Book struct {
	Site     string
	Zone     *time.Location
	Verifier string
	Size     int64 // entries in the log
}

// Book reads the book's first page. It is ErrNotFound before set-up.
func (s *Store) Book(ctx context.Context) (Book, error) {
	var b Book
	var zone string
	err := s.db.QueryRowContext(ctx, "SELECT book.site, book.zone, book.verifier, head.size FROM book, head WHERE book.id = 1 AND head.id = 1").
		Scan(&b.Site, &zone, &b.Verifier, &b.Size)
	if kindOf(err) == shop.ErrNotFound {
		return Book{}, shop.NotFound("book", "set up")
	}
	if err != nil {
		return Book{}, fmt.Errorf("reading the book: %w", err)
	}
	if b.Zone, err = loadZone(zone); err != nil {
		return Book{}, fmt.Errorf("reading the book: %w", err)
	}
	return b, nil
}

// Zone is the shop's time zone, which a book never changes.
func (s *Store) Zone(ctx context.Context) (*time.Location, error) {
	if z := s.zone.Load(); z != nil {
		return z, nil
	}
	z, err := zoneOf(ctx, s.db)
	if err == nil {
		s.zone.Store(z)
	}
	return z, err
}

// zoneOf is the shop's time zone.
func zoneOf(ctx context.Context, q querier) (*time.Location, error) {
	var name string
	err := q.QueryRowContext(ctx, "SELECT zone FROM book WHERE id = 1").Scan(&name)
	if kindOf(err) == shop.ErrNotFound {
		return nil, shop.NotFound("book", "set up")
	}
	if err != nil {
		return nil, fmt.Errorf("reading the shop's time zone: %w", err)
	}
	return loadZone(name)
}

func (a applying) bookOpened(e shop.BookOpened) error {
	if err := a.add("book", e.Site, "INSERT INTO book (id, site, zone, verifier) VALUES (1, $1, $2, $3)", e.Site, e.Zone, e.Verifier); err != nil {
		return err
	}
	return a.exec("INSERT INTO verifier (seq, verifier) VALUES ($1, $2)", a.seq, e.Verifier)
}

func (a applying) keyChanged(e shop.KeyChanged) error {
	if err := a.exec("UPDATE book SET verifier = $1 WHERE id = 1", e.Verifier); err != nil {
		return err
	}
	return a.exec("INSERT INTO verifier (seq, verifier) VALUES ($1, $2)", a.seq, e.Verifier)
}
