package store

import (
	"context"
	"database/sql"
	"fmt"
	"strings"
)

// Every table is one of four kinds. These are the log itself, what stands
// beside it, and what it fixes by a hash but does not contain: the bytes of
// documents, which the log can check and cannot give back. projected is in the
// order in which rows can be inserted, each table behind those that it refers
// to.
var (
	logged    = []string{"head", "entry", "node", "checkpoint"}
	hashed    = []string{"document_bytes"}
	private   = []string{"private_person", "device", "session", "sign_in_try"}
	projected = []string{
		"subject", "subject_entry", "book", "verifier", "code", "person", "authorisation", "station", "policy", "shop_limit",
		"route", "route_step", "instruction", "acknowledgement", "design", "characteristic", "mould", "customer_order", "lot", "certificate_line", "factor", "factor_proposal", "factor_line", "qualification_plan", "qualification_coupon", "container", "paste_waste", "container_weighing", "paste_return", "paste_difference",
		"machine", "controller", "machine_check", "cutter", "furnace", "furnace_position", "furnace_test_needed", "sensor", "sensor_test", "survey", "survey_zone",
		"recipe", "setter", "oven", "carrier", "service", "gauge", "gauge_calibration", "calibration_point", "gauge_check", "design_release", "release_lot", "release_signature",
		"mould_insert", "release_first", "insert_step", "print", "layers_made", "lot_change", "draw", "drying", "weighing", "green_size", "furnace_load", "load_item", "coupon", "coupon_result", "furnace_test",
		"tempering", "result", "fit_up", "fit_face", "delivery", "delivery_item", "customer_return", "return_item",
		"nonconformance", "nonconformance_item", "concession", "concession_insert", "concession_limit", "permit", "hold", "refusal", "containment", "containment_outside", "recall_notice", "trace_drill",
		"paper_form", "paper_entry", "missed_stop", "outage", "blank_form", "document", "filing",
	}
)

// A table is one with its columns, as SQLite tells them.
type table struct {
	name    string
	columns []string
	key     []int // places of the key's columns, in the key's order
}

// tableNamed reads the columns of a table from an SQLite database.
func tableNamed(ctx context.Context, lite querier, name string) (table, error) {
	t := table{name: name}
	rows, err := lite.QueryContext(ctx, "SELECT name, pk FROM pragma_table_info($1) ORDER BY cid", name)
	if err != nil {
		return t, fmt.Errorf("reading the columns of %s: %w", name, err)
	}
	defer rows.Close()
	at := map[int]int{}
	for rows.Next() {
		var column string
		var pk int
		if err := rows.Scan(&column, &pk); err != nil {
			return t, fmt.Errorf("reading the columns of %s: %w", name, err)
		}
		if pk > 0 {
			at[pk] = len(t.columns)
		}
		t.columns = append(t.columns, column)
	}
	for pk := 1; pk <= len(at); pk++ {
		t.key = append(t.key, at[pk])
	}
	return t, rows.Err()
}

// all reads every row in the order of the key.
func (t table) all(ctx context.Context, q querier) (*sql.Rows, error) {
	var key []string
	for _, i := range t.key {
		key = append(key, t.columns[i])
	}
	rows, err := q.QueryContext(ctx, "SELECT "+strings.Join(t.columns, ", ")+" FROM "+t.name+" ORDER BY "+strings.Join(key, ", "))
	if err != nil {
		return nil, fmt.Errorf("reading table %s: %w", t.name, err)
	}
	return rows, nil
}

// rowsIn counts the rows of some tables.
func rowsIn(ctx context.Context, q querier, tables []string) (int64, error) {
	var total int64
	for _, name := range tables {
		var n int64
		if err := q.QueryRowContext(ctx, "SELECT count(*) FROM "+name).Scan(&n); err != nil {
			return 0, fmt.Errorf("counting the rows of %s: %w", name, err)
		}
		total += n
	}
	return total, nil
}
