package store

import (
	"context"
	"fmt"

	"sinterbook/store/shop"
)

// A Print is one print job of an insert.
type Print struct {
	Seq         int64
	Insert      string
	Release     string
	Machine     string
	ProgramHash string
	Carrier     string
	KX, KY, KZ  string
	Layers      int
	Plate       shop.Reading
	Room        shop.Reading
	Humidity    shop.Reading
	Controller  string // version that ran, "" where none was on record
	StartedAt   stamp
	StartedBy   string
	LayersDone  int // 0 while it runs
	Printed     shop.Reading
	FinishedAt  stamp
	FinishedBy  string
}

const printColumns = `SELECT print.id, i.serial, r.release, machine.machine, print.program_sha256, print.carrier, print.kx_text, print.ky_text, print.kz_text,
	layers, plate_text, plate_unit, plate_c, room_text, room_unit, room_c, humidity_text, humidity_unit, humidity_pct, controller, started_at, started_by, coalesce(layers_done, 0), printed_text, printed_unit, printed_g, finished_at, finished_by
	FROM print JOIN mould_insert i ON i.id = print.insert_id JOIN design_release r ON r.id = print.release_id JOIN machine ON machine.id = print.machine_id`

func scanPrint(row scanner) (Print, error) {
	var p Print
	var plate, room, humidity, printed readingColumns
	into := append([]any{&p.Seq, &p.Insert, &p.Release, &p.Machine, &p.ProgramHash, &p.Carrier, &p.KX, &p.KY, &p.KZ, &p.Layers}, plate.scan()...)
	into = append(append(into, room.scan()...), humidity.scan()...)
	into = append(append(into, &p.Controller, &p.StartedAt, &p.StartedBy, &p.LayersDone), printed.scan()...)
	if err := row.Scan(append(into, &p.FinishedAt, &p.FinishedBy)...); err != nil {
		return p, err
	}
	return p, readings(map[*shop.Reading]*readingColumns{&p.Plate: &plate, &p.Room: &room, &p.Humidity: &humidity, &p.Printed: &printed})
}

// Print is the latest print of an insert; ErrNotFound before there is one.
func (s *Store) Print(ctx context.Context, insert string) (Print, error) {
	return printOf(ctx, s.db, insert)
}

func printOf(ctx context.Context, q querier, insert string) (Print, error) {
	return one("print of", insert, scanPrint, q.QueryRowContext(ctx, printColumns+" WHERE i.serial = $1 ORDER BY print.id DESC LIMIT 1", insert))
}

// Given are the machine and the factors that it was given: where the shop let it
// go on, they are not the release's. They hold for the whole print, also where
// another lot took over in it.
func (p Print) Given() (shop.Release, error) {
	r := shop.Release{Machine: p.Machine}
	if p.Seq == 0 { // nothing was printed
		return r, nil
	}
	for axis, text := range map[string]string{"X": p.KX, "Y": p.KY, "Z": p.KZ} {
		k, err := shop.ReadingOf(text, "1")
		if err != nil {
			return r, fmt.Errorf("reading the factor of the print of %s in %s: %w", p.Insert, axis, err)
		}
		r.Set(axis, k)
	}
	return r, nil
}

// Layers are recorded layers of a print, with what was done after them.
type Layers struct {
	Seq int64
	shop.LayersMade
	At stamp
	By string
}

// Layers lists what was recorded by layer of an insert.
func (s *Store) Layers(ctx context.Context, insert string) ([]Layers, error) {
	return list(ctx, s.db, "layers", func(row scanner) (Layers, error) {
		l := Layers{LayersMade: shop.LayersMade{Insert: insert}}
		var dried, air, cut, probe readingColumns
		into := append([]any{&l.Seq, &l.FromLayer, &l.ToLayer}, dried.scan()...)
		into = append(append(into, air.scan()...), &l.Pass, &l.Cutter)
		into = append(into, cut.scan()...)
		into = append(append(into, probe.scan()...), &l.Remark, &l.At, &l.By)
		if err := row.Scan(into...); err != nil {
			return l, err
		}
		return l, readings(map[*shop.Reading]*readingColumns{&l.Dried: &dried, &l.Air: &air, &l.Cut: &cut, &l.Probe: &probe})
	}, `SELECT layers_made.id, from_layer, to_layer, dried_text, dried_unit, dried_s, air_text, air_unit, air_c, pass, cutter, cut_text, cut_unit, cut_s,
		probe_text, probe_unit, probe_mm, remark, at, by_badge
		FROM layers_made JOIN mould_insert ON mould_insert.id = layers_made.insert_id WHERE mould_insert.serial = $1 ORDER BY layers_made.id`, insert)
}

// missingOfPrint names the records that a print still needs: the paste of every
// layer that was printed, and what was recorded by layer.
func missingOfPrint(ctx context.Context, q querier, e shop.PrintFinished, draws []shop.LayerDraw) ([]string, error) {
	if len(draws) == 0 {
		return []string{"the paste drawn for it"}, nil
	}
	var drawn []shop.LayerRun
	for _, d := range draws {
		drawn = append(drawn, d.LayerRun)
	}
	made, err := list(ctx, q, "layers", func(row scanner) (r shop.LayerRun, err error) { return r, row.Scan(&r.FromLayer, &r.ToLayer) },
		"SELECT from_layer, to_layer FROM layers_made JOIN mould_insert ON mould_insert.id = insert_id WHERE serial = $1", e.Insert)
	if err != nil {
		return nil, err
	}
	missing := gapWords("the paste drawn for ", shop.LayerGaps(drawn, e.LayersDone))
	if len(made) == 0 {
		return append(missing, "the record of its layers"), nil
	}
	return append(missing, gapWords("the record of ", shop.LayerGaps(made, e.LayersDone))...), nil
}

// gapWords names runs of layers of which something is missing, not more of
// them than can be read at a glance.
func gapWords(what string, gaps []shop.LayerRun) []string {
	const most = 4
	var words []string
	for n, g := range gaps {
		if n == most {
			return append(words, what+fmt.Sprintf("%d more runs of layers", len(gaps)-most))
		}
		words = append(words, what+g.String())
	}
	return words
}

func (a applying) printStarted(e shop.PrintStarted) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	release, err := thing(a.ctx, a.q, "release", e.Release)
	if err != nil {
		return err
	}
	machine, err := thing(a.ctx, a.q, "machine", e.Machine)
	if err != nil {
		return err
	}
	if err := a.exec(`INSERT INTO print (id, insert_id, release_id, machine_id, program_sha256, carrier, kx_text, ky_text, kz_text, layers,
		plate_text, plate_unit, plate_c, room_text, room_unit, room_c, humidity_text, humidity_unit, humidity_pct, controller, started_at, started_by, finished_by)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22, '')`,
		args(a.seq, id, release, machine, e.ProgramHash, e.Carrier, e.KX.Text, e.KY.Text, e.KZ.Text, e.Layers, e.Plate, e.Room, e.Humidity, e.Controller, a.at(), a.By)...); err != nil {
		return err
	}
	if err := a.exec("UPDATE mould_insert SET carrier = $1, machine_id = $2 WHERE id = $3", e.Carrier, machine, id); err != nil {
		return err
	}
	if err := a.started(id, shop.OpPrint); err != nil {
		return err
	}
	return a.stands(id, shop.StatusPrinting, e.Machine+" on "+e.Carrier)
}

func (a applying) layersMade(e shop.LayersMade) error {
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	return a.exec(`INSERT INTO layers_made (id, insert_id, from_layer, to_layer, dried_text, dried_unit, dried_s, air_text, air_unit, air_c, pass, cutter,
		cut_text, cut_unit, cut_s, probe_text, probe_unit, probe_mm, remark, at, by_badge)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21)`,
		args(a.seq, id, e.FromLayer, e.ToLayer, e.Dried, e.Air, e.Pass, e.Cutter, e.Cut, e.Probe, e.Remark, a.at(), a.By)...)
}

func (a applying) printFinished(e shop.PrintFinished) error {
	p, err := printOf(a.ctx, a.q, e.Insert)
	if err != nil {
		return err
	}
	if e.LayersDone > p.Layers {
		return shop.Wrong("layers_done", "%d layers were printed of %d planned: one of the two is wrong.", e.LayersDone, p.Layers)
	}
	if err := a.exec("UPDATE print SET layers_done = $1, printed_text = $2, printed_unit = $3, printed_g = $4, finished_at = $5, finished_by = $6 WHERE id = $7",
		args(e.LayersDone, e.Printed, a.at(), a.By, p.Seq)...); err != nil {
		return err
	}
	id, err := thing(a.ctx, a.q, "insert", e.Insert)
	if err != nil {
		return err
	}
	if err := a.done(id, shop.OpPrint); err != nil {
		return err
	}
	return a.stands(id, shop.StatusPrinted, "on "+p.Carrier)
}
