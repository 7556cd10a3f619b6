package store

import (
	"context"
	"fmt"

	"sinterbook/store/shop"
)

const instructionColumns = "SELECT id, instruction, revision, operation, title, body, from_at, approved_by FROM instruction"

func scanInstruction(row scanner) (shop.Instruction, error) {
	var i shop.Instruction
	var from stamp
	err := row.Scan(&i.Seq, &i.Instruction, &i.Revision, &i.Operation, &i.Title, &i.Text, &from, &i.ApprovedBy)
	i.From = from.Time
	return i, err
}

// Instructions lists every revision of every instruction, in the order in
// which they came into force.
func (s *Store) Instructions(ctx context.Context) ([]shop.Instruction, error) {
	return instructionsOf(ctx, s.db)
}

func instructionsOf(ctx context.Context, q querier) ([]shop.Instruction, error) {
	return kept(q, "instructions", func() ([]shop.Instruction, error) {
		return list(ctx, q, "instructions", scanInstruction, instructionColumns+" ORDER BY from_at, id")
	})
}

// instruct notes which instruction was in force for an act.
func instruct(ctx context.Context, q querier, e *shop.Entry) error {
	act, ok := e.Event.(interface{ Operation() string })
	if !ok {
		return nil
	}
	all, err := instructionsOf(ctx, q)
	if err != nil {
		return err
	}
	if in, ok := shop.InstructionAt(all, act.Operation(), e.At); ok {
		e.Instruction = in.Name()
	}
	return nil
}

// mustRead adds what must have been read before an act: at a station, where it
// can be shown. What is entered later goes by the revision of its day; who has
// read the one that took its place meanwhile has read enough.
func mustRead(ctx context.Context, q querier, e shop.Entry, f *shop.Facts) error {
	if e.Station == "" || e.Paper != nil {
		return nil
	}
	all, err := instructionsOf(ctx, q)
	if err != nil {
		return err
	}
	in, ok := shop.InstructionAt(all, f.Operation, e.At)
	if !ok {
		return nil
	}
	f.Instruction = in
	if f.Read, err = hasRead(ctx, q, in, f.By.Badge); err != nil || f.Read {
		return err
	}
	if now, _ := shop.InstructionAt(all, f.Operation, e.Entered); now.Seq != in.Seq {
		f.Instruction = now
		f.Read, err = hasRead(ctx, q, now, f.By.Badge)
	}
	return err
}

func hasRead(ctx context.Context, q querier, in shop.Instruction, badge string) (bool, error) {
	return kept(q, "read/"+in.Name()+"/"+badge, func() (bool, error) {
		var n int
		err := q.QueryRowContext(ctx, "SELECT count(*) FROM acknowledgement WHERE instruction_id = $1 AND badge = $2", in.Seq, badge).Scan(&n)
		if err != nil {
			return false, fmt.Errorf("looking up whether %s has read %s: %w", badge, in.Name(), err)
		}
		return n > 0, nil
	})
}

// HasRead reports whether a person has acknowledged a revision.
func (s *Store) HasRead(ctx context.Context, in shop.Instruction, badge string) (bool, error) {
	return hasRead(ctx, s.db, in, badge)
}

const acknowledgementColumns = `SELECT a.id, i.instruction, i.revision, a.badge, a.station, a.at
	FROM acknowledgement a JOIN instruction i ON i.id = a.instruction_id`

func scanAcknowledgement(row scanner) (shop.Acknowledgement, error) {
	var a shop.Acknowledgement
	var at stamp
	err := row.Scan(&a.Seq, &a.Instruction, &a.Revision, &a.Badge, &a.Station, &at)
	a.At = at.Time
	return a, err
}

// ReadersOf lists who has read which revision of an instruction, the latest
// first.
func (s *Store) ReadersOf(ctx context.Context, instruction string) ([]shop.Acknowledgement, error) {
	return list(ctx, s.db, "acknowledgements", scanAcknowledgement, acknowledgementColumns+" WHERE i.instruction = $1 ORDER BY a.id DESC", instruction)
}

// ReadBy lists what a person has read, the latest first.
func (s *Store) ReadBy(ctx context.Context, badge string) ([]shop.Acknowledgement, error) {
	return list(ctx, s.db, "acknowledgements", scanAcknowledgement, acknowledgementColumns+" WHERE a.badge = $1 ORDER BY a.id DESC", badge)
}

// checkAcknowledged lets everyone speak for themselves, of what there is.
func checkAcknowledged(ctx context.Context, q querier, e shop.Entry, ev shop.InstructionAcknowledged) error {
	if ev.Badge != e.By {
		return &shop.Refusal{Kind: shop.ErrForbidden, Why: "Nobody says for another that they have read an instruction. Nothing was recorded."}
	}
	in, err := instructionNamed(ctx, q, ev.Instruction, ev.Revision)
	if err != nil {
		return err
	}
	read, err := hasRead(ctx, q, in, ev.Badge)
	if err == nil && read {
		err = shop.Conflict("Badge %s has said already that they have read %s.", ev.Badge, in.Name())
	}
	return err
}

func instructionNamed(ctx context.Context, q querier, instruction, revision string) (shop.Instruction, error) {
	return one("instruction", instruction+" "+revision, scanInstruction, q.QueryRowContext(ctx, instructionColumns+" WHERE instruction = $1 AND revision = $2", instruction, revision))
}

func (a applying) instructionAcknowledged(e shop.InstructionAcknowledged) error {
	in, err := instructionNamed(a.ctx, a.q, e.Instruction, e.Revision)
	if err != nil {
		return err
	}
	return a.exec("INSERT INTO acknowledgement (id, instruction_id, badge, station, at) VALUES ($1, $2, $3, $4, $5)", a.seq, in.Seq, e.Badge, a.Station, a.at())
}

func (a applying) instructionReleased(e shop.InstructionReleased) error {
	return a.add("instruction", e.Instruction+" "+e.Revision, "INSERT INTO instruction (id, instruction, revision, operation, title, body, from_at, approved_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		a.seq, e.Instruction, e.Revision, e.Op, e.Title, e.Text, stamp{e.From}, a.By)
}
