package store

import (
	"bufio"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"hash"
	"io"
	"slices"

	"golang.org/x/mod/sumdb/tlog"
)

// Export writes the whole book as it stands at one moment, while others may go
// on writing: the log with its checkpoints, the names and keys beside it, and
// the bytes of documents. What it writes can be imported into either database.
// It refuses a log or a document whose hash does not fit, as a *Finding.
// progress may be nil.
func (s *Store) Export(ctx context.Context, to io.Writer, progress func(done, total int64)) (Report, error) {
	tx, err := s.db.BeginTx(ctx, &sql.TxOptions{Isolation: sql.LevelRepeatableRead, ReadOnly: true})
	if err != nil {
		return Report{}, fmt.Errorf("exporting: %w", err)
	}
	defer tx.Rollback()
	buffered := bufio.NewWriterSize(to, 1<<16)
	x := &exporting{ctx: ctx, book: tx, to: buffered, sum: sha256.New(), tree: newGrowing(), named: byHash{}, progress: progress}
	if err := x.all(); err != nil {
		return Report{}, fmt.Errorf("exporting: %w", err)
	}
	if err := buffered.Flush(); err != nil {
		return Report{}, fmt.Errorf("exporting: %w", err)
	}
	return x.report, nil
}

// exporting is one run of Export.
type exporting struct {
	ctx      context.Context
	book     querier
	to       io.Writer
	sum      hash.Hash
	tree     *growing
	named    byHash
	end      ending
	report   Report
	progress func(done, total int64)
}

func (x *exporting) all() error {
	for _, part := range []func() error{x.header, x.entries, x.checkpoints, x.people, x.devices, x.documents, x.ending} {
		if err := part(); err != nil {
			return err
		}
	}
	return nil
}

func (x *exporting) write(l line) error {
	text, err := l.text()
	if err != nil {
		return err
	}
	x.sum.Write(text) // never fails
	_, err = x.to.Write(text)
	return err
}

func (x *exporting) header() error {
	h := header{Format: exportFormat, Version: exportVersion}
	err := x.book.QueryRowContext(x.ctx, "SELECT head.size, coalesce((SELECT site FROM book WHERE id = 1), '') FROM head WHERE head.id = 1").Scan(&h.Size, &h.Site)
	if err != nil {
		return fmt.Errorf("reading the log's head: %w", err)
	}
	if h.Root, err = tlog.TreeHash(h.Size, hashReader(x.ctx, x.book)); err != nil {
		return err
	}
	x.report.Entries, x.report.Root = h.Size, h.Root
	return x.write(line{Header: &h})
}

func (x *exporting) entries() error {
	for {
		rows, err := entriesFrom(x.ctx, x.book, x.tree.size, page)
		if err != nil {
			return err
		}
		for _, r := range rows {
			if err := x.entry(r); err != nil {
				return err
			}
		}
		if x.progress != nil {
			x.progress(x.tree.size, x.report.Entries)
		}
		if len(rows) == 0 {
			return x.whole()
		}
	}
}

func (x *exporting) entry(r entryRow) error {
	e, err := r.read(x.tree.size)
	if err != nil {
		return err
	}
	_, hashes, err := x.tree.add([]byte(r.payload))
	if err != nil {
		return err
	}
	if key := verifierIn(e.Event); key != "" {
		x.report.Verifier = key
	}
	x.named.note(e)
	x.end.Entries++
	return x.write(line{Leaf: &hashes[0], Entry: json.RawMessage(r.payload)})
}

// whole refuses to call a log exported that is not what its hashes say.
func (x *exporting) whole() error {
	root, err := x.tree.root()
	if err != nil {
		return err
	}
	if x.tree.size != x.report.Entries || root != x.report.Root {
		return found("The entries do not have the hashes that the log keeps of them. Verify this book: it was changed.")
	}
	return nil
}

func (x *exporting) checkpoints() error {
	all, err := checkpointsOf(x.ctx, x.book)
	if err != nil {
		return err
	}
	for _, c := range all {
		x.end.Checkpoints++
		x.report.Checkpoints, x.report.Sealed = x.end.Checkpoints, c.size
		if err := x.write(line{Checkpoint: &sealedLine{Size: c.size, Note: c.note}}); err != nil {
			return err
		}
	}
	return nil
}

func (x *exporting) people() error {
	all, err := list(x.ctx, x.book, "people's keys", func(row scanner) (p personLine, err error) {
		err = row.Scan(&p.Badge, &p.Name, &p.PIN, &p.Password)
		return p, err
	}, "SELECT badge, name, pin_hash, password_hash FROM private_person ORDER BY badge")
	if err != nil {
		return err
	}
	for _, p := range all {
		x.end.People++
		if err := x.write(line{Person: &p}); err != nil {
			return err
		}
	}
	return nil
}

func (x *exporting) devices() error {
	all, err := list(x.ctx, x.book, "tablets", func(row scanner) (d deviceLine, err error) {
		err = row.Scan(&d.Token, &d.Device, &d.Station)
		return d, err
	}, "SELECT token_hash, device, station FROM device ORDER BY token_hash")
	if err != nil {
		return err
	}
	for _, d := range all {
		x.end.Devices++
		if err := x.write(line{Device: &d}); err != nil {
			return err
		}
	}
	return nil
}

// documents writes the bytes that stand beside the log.
func (x *exporting) documents() error {
	return x.named.each(x.ctx, x.book, func(document string, bytes []byte) error {
		x.report.Documents++
		of := (len(bytes) + documentPart - 1) / documentPart
		part := 0
		for piece := range slices.Chunk(bytes, documentPart) {
			part++
			x.end.Parts++
			if err := x.write(line{Document: &documentLine{Document: document, Part: part, Of: of, Bytes: piece}}); err != nil {
				return err
			}
		}
		return nil
	})
}

func (x *exporting) ending() error {
	x.end.SHA256 = hex.EncodeToString(x.sum.Sum(nil))
	return x.write(line{End: &x.end})
}
