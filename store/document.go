package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"maps"
	"slices"

	"sinterbook/store/shop"
)

// The bytes of documents stand in a table of their own, in no other file: a book
// stays one thing to back up. They are none of the log's, which would grow by
// megabytes an entry, be hashed and replayed with them, and hand every photo on
// with every proof. They do not follow from the log either, so that a rebuild
// leaves them alone and never holds them in memory; but each is named by its
// hash in the log, so that verify, export and import check them like the log
// itself. That is a kind of table by itself: see hashed in tables.go.

const documentColumns = "SELECT id, document, media_type, size, name, on_kind, on_code, shows, at, by_badge FROM document"

func scanDocument(row scanner) (shop.Document, error) {
	var d shop.Document
	var at stamp
	err := row.Scan(&d.Seq, &d.Document, &d.MediaType, &d.Size, &d.Name, &d.OnKind, &d.OnCode, &d.Shows, &at, &d.By)
	d.At = at.Time
	return d, err
}

// DocumentsOn lists the photos and papers on a thing in the order in which they
// were put there.
func (s *Store) DocumentsOn(ctx context.Context, kind, number string) ([]shop.Document, error) {
	return list(ctx, s.db, "documents", scanDocument, documentColumns+" WHERE on_kind = $1 AND on_code = $2 ORDER BY id", kind, number)
}

// Document is a document as one entry put it on a thing or filed it there, or
// as the first did where entry is 0; ErrNotFound where there is none.
func (s *Store) Document(ctx context.Context, document string, entry int64) (shop.Document, error) {
	return one("document", document, scanDocument, s.db.QueryRowContext(ctx, documentColumns+` WHERE document = $1 AND (id = $2 OR $2 = 0)
		UNION ALL SELECT id, document, media_type, size, name, on_kind, on_code, note, at, by_badge FROM filing WHERE document = $1 AND (id = $2 OR $2 = 0)
		ORDER BY id LIMIT 1`, document, entry))
}

// DocumentBytes are the bytes of a document as they came. What was altered
// since is never handed out as the document.
func (s *Store) DocumentBytes(ctx context.Context, document string) ([]byte, error) {
	bytes, err := one("document", document, func(row scanner) (bytes []byte, err error) {
		err = row.Scan(&bytes)
		return bytes, err
	}, s.db.QueryRowContext(ctx, "SELECT bytes FROM document_bytes WHERE document = $1", document))
	if err != nil {
		return nil, err
	}
	if is := shop.DocumentNamed(bytes); is != document {
		return nil, shop.Conflict("The bytes that are kept of this document are not those that were recorded: they have the SHA-256 %s, the log has %s. Verify the book.", is, document)
	}
	return bytes, nil
}

// checkDocument asks whether the thing is there, has not the very document
// under the very name already, and whether the bytes came along or stand.
func checkDocument(ctx context.Context, q querier, e shop.DocumentAdded) error {
	if err := exists(ctx, q, e.OnKind, e.OnCode); err != nil {
		return err
	}
	same, err := list(ctx, q, "documents", scanDocument, documentColumns+" WHERE document = $1 AND on_kind = $2 AND on_code = $3 AND name = $4", e.Document, e.OnKind, e.OnCode, e.Name)
	if err != nil {
		return err
	}
	if len(same) > 0 {
		return shop.Conflict("The %s %s is on %s %s already, as entry %d. Take it away and record the rest.", shop.DocumentWord(e.MediaType), e.Name, e.OnKind, e.OnCode, same[0].Seq)
	}
	return cameAlong(ctx, q, e.Document, e.Bytes)
}

// cameAlong asks for the bytes of a document: they came with it, or stand.
func cameAlong(ctx context.Context, q querier, document string, bytes []byte) error {
	if bytes != nil {
		return nil
	}
	stands, err := list(ctx, q, "documents", word, "SELECT document FROM document_bytes WHERE document = $1", document)
	if err == nil && len(stands) == 0 {
		err = shop.Wrong("document", "The file itself did not come along: choose it again.")
	}
	return err
}

// documentAdded puts a document on a thing. Its bytes are there when it is
// recorded; in a replay they are not, and stay as they are. Bytes that were lost
// or altered come back with the next copy of the same file.
func (a applying) documentAdded(e shop.DocumentAdded) error {
	if err := a.exec("INSERT INTO document (id, document, media_type, size, name, on_kind, on_code, shows, at, by_badge) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
		a.seq, e.Document, e.MediaType, e.Size, e.Name, e.OnKind, e.OnCode, e.Shows, a.at(), a.By); err != nil {
		return err
	}
	return a.keepBytes(e.Document, e.Bytes)
}

func (a applying) keepBytes(document string, bytes []byte) error {
	if bytes == nil {
		return nil
	}
	return a.exec("INSERT INTO document_bytes (document, bytes) VALUES ($1, $2) ON CONFLICT (document) DO UPDATE SET bytes = excluded.bytes", document, bytes)
}

// byHash are the documents that a log names, each with the first entry that does.
type byHash map[string]int64

func (n byHash) note(e Logged) {
	d, ok := shop.FileOf(e.Event)
	if _, again := n[d.Document]; ok && !again {
		n[d.Document] = e.Seq
	}
}

// each hands on the bytes of every document that the log names, and refuses
// what is missing, altered, or named by no entry.
func (n byHash) each(ctx context.Context, q querier, do func(document string, bytes []byte) error) error {
	rows, err := q.QueryContext(ctx, "SELECT document, bytes FROM document_bytes ORDER BY document")
	if err != nil {
		return fmt.Errorf("reading the bytes of documents: %w", err)
	}
	defer rows.Close()
	missing := maps.Clone(n)
	for rows.Next() {
		var document string
		var bytes sql.RawBytes
		if err := rows.Scan(&document, &bytes); err != nil {
			return fmt.Errorf("reading the bytes of documents: %w", err)
		}
		if err := n.check(document, bytes); err != nil {
			return err
		}
		delete(missing, document)
		if err := do(document, bytes); err != nil {
			return err
		}
	}
	return errors.Join(rows.Err(), missing.none())
}

// check compares bytes with the name under which they stand.
func (n byHash) check(document string, bytes []byte) error {
	seq, ok := n[document]
	if !ok {
		return found("There are bytes of a document %s, which no entry of the log names.", document)
	}
	if is := shop.DocumentNamed(bytes); is != document {
		return found("The document of entry %d was altered: its bytes have the SHA-256 %s; the log has %s.", seq, is, document)
	}
	return nil
}

// none is a finding about the first that is left, in the order of the log.
func (n byHash) none() error {
	if len(n) == 0 {
		return nil
	}
	first := slices.MinFunc(slices.Collect(maps.Keys(n)), func(a, b string) int { return int(n[a] - n[b]) })
	return found("The document of entry %d is missing: the log names its bytes by the SHA-256 %s.", n[first], first)
}
