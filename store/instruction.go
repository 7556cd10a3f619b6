package store

import (
	"context"

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

func (a applying) instructionReleased(e shop.InstructionReleased) error {
	return a.add("instruction", e.Instruction+" "+e.Revision, "INSERT INTO instruction (id, instruction, revision, operation, title, body, from_at, approved_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)",
		a.seq, e.Instruction, e.Revision, e.Op, e.Title, e.Text, stamp{e.From}, a.By)
}
