package store

import (
	"context"

	"sinterbook/store/shop"
)

const designColumns = `SELECT id, design, revision, name, material, drawing_unit, x_text, x_unit, x_mm, y_text, y_unit, y_mm,
	z_text, z_unit, z_mm, layer_text, layer_unit, layer_mm, layers_between_passes, orientation, superseded = 1, volume_text, volume_unit, volume_mm3 FROM design`

func scanDesign(row scanner) (shop.Design, error) {
	var d shop.Design
	var x, y, z, layer, volume readingColumns
	into := []any{&d.ID, &d.Design, &d.Revision, &d.Name, &d.Material, &d.DrawingUnit}
	for _, c := range []*readingColumns{&x, &y, &z, &layer} {
		into = append(into, c.scan()...)
	}
	into = append(append(into, &d.LayersBetweenPasses, &d.Orientation, &d.Superseded), volume.scan()...)
	if err := row.Scan(into...); err != nil {
		return d, err
	}
	return d, readings(map[*shop.Reading]*readingColumns{&d.X: &x, &d.Y: &y, &d.Z: &z, &d.Layer: &layer, &d.Volume: &volume})
}

// Designs lists every revision of every part, without characteristics.
func (s *Store) Designs(ctx context.Context) ([]shop.Design, error) {
	return list(ctx, s.db, "designs", scanDesign, designColumns+" ORDER BY design, id")
}

// Design is a revision of a part with its characteristics; revision "" asks
// for the one in force.
func (s *Store) Design(ctx context.Context, number, revision string) (shop.Design, error) {
	return designOf(ctx, s.db, number, revision)
}

func designOf(ctx context.Context, q querier, number, revision string) (shop.Design, error) {
	d, err := one("design", number+" "+revision, scanDesign, q.QueryRowContext(ctx,
		designColumns+" WHERE design = $1 AND (revision = $2 OR $2 = '' AND superseded = 0)", number, revision))
	if err != nil {
		return d, err
	}
	d.Characteristics, err = list(ctx, q, "characteristics", scanCharacteristic, characteristicColumns+" WHERE design_id = $1 ORDER BY place", d.ID)
	return d, err
}

func currentRevision(ctx context.Context, q querier, number string) (string, error) {
	return one("design", number, word, q.QueryRowContext(ctx, "SELECT revision FROM design WHERE design = $1 AND superseded = 0", number))
}

const characteristicColumns = `SELECT number, characteristic.name, axis, quantity, nominal_text, nominal_unit, nominal, lower_text, lower_unit, lower_value,
	upper_text, upper_unit, upper_value, is_key = 1, how FROM characteristic`

func scanCharacteristic(row scanner) (shop.Characteristic, error) {
	var c shop.Characteristic
	var nominal, lower, upper readingColumns
	into := []any{&c.Number, &c.Name, &c.Axis, &c.Kind}
	for _, col := range []*readingColumns{&nominal, &lower, &upper} {
		into = append(into, col.scan()...)
	}
	if err := row.Scan(append(into, &c.Key, &c.How)...); err != nil {
		return c, err
	}
	return c, readings(map[*shop.Reading]*readingColumns{&c.Nominal: &nominal, &c.Lower: &lower, &c.Upper: &upper})
}

// characteristicOf is a characteristic of the design that an insert is made to.
func characteristicOf(ctx context.Context, q querier, insert, number string) (shop.Characteristic, error) {
	if _, err := thing(ctx, q, "insert", insert); err != nil {
		return shop.Characteristic{}, err
	}
	return one("characteristic of "+insert, number, scanCharacteristic, q.QueryRowContext(ctx, characteristicColumns+`
		JOIN mould_insert ON mould_insert.design_id = characteristic.design_id
		WHERE mould_insert.serial = $1 AND characteristic.number = $2`, insert, number))
}

func (a applying) designReleased(e shop.DesignReleased) error {
	if err := a.exec("UPDATE design SET superseded = 1 WHERE design = $1", e.Design); err != nil {
		return err
	}
	if err := a.add("design", e.Design+" revision "+e.Revision, `INSERT INTO design (id, design, revision, name, material, drawing_unit,
		x_text, x_unit, x_mm, y_text, y_unit, y_mm, z_text, z_unit, z_mm, layer_text, layer_unit, layer_mm, layers_between_passes, orientation, superseded, volume_text, volume_unit, volume_mm3)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, 0, $21, $22, $23)`,
		args(a.seq, e.Design, e.Revision, e.Name, e.Material, e.DrawingUnit, e.X, e.Y, e.Z, e.Layer, e.LayersBetweenPasses, e.Orientation, e.Volume)...); err != nil {
		return err
	}
	for i, c := range e.Characteristics {
		if err := a.exec(`INSERT INTO characteristic (design_id, place, number, name, axis, quantity, nominal_text, nominal_unit, nominal,
			lower_text, lower_unit, lower_value, upper_text, upper_unit, upper_value, is_key, how)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17)`,
			args(a.seq, i+1, c.Number, c.Name, c.Axis, string(c.Kind), c.Nominal, c.Lower, c.Upper, flag(c.Key), c.How)...); err != nil {
			return err
		}
	}
	return nil
}
