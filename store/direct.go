package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"reflect"
	"strconv"

	"zombiezen.com/go/sqlite"
	"zombiezen.com/go/sqlite/sqlitex"
)

// direct reads rows from the engine of SQLite without database/sql between,
// which takes as long again as the engine where rows are many. Both use one
// engine, so that their locks on the file know of each other.
type direct struct {
	address string
	pragmas []string
	slots   chan *lite // nil is a connection that was not needed yet
	closed  chan struct{}
}

// A lite is one connection with the statements that it keeps.
type lite struct {
	*sqlite.Conn
	kept map[string]*sqlite.Stmt
}

// newDirect reads a book through n connections at the most.
func newDirect(address string, pragmas []string, n int) *direct {
	d := &direct{address: address, pragmas: pragmas, slots: make(chan *lite, n), closed: make(chan struct{})}
	for range n {
		d.slots <- nil
	}
	return d
}

// each hands on every row of a query, until one is an error.
func (d *direct) each(ctx context.Context, row func(scanner) error, query string, args []any) error {
	c, err := d.take(ctx)
	if err != nil {
		return err
	}
	defer func() { d.slots <- c }()
	defer c.SetInterrupt(nil)
	c.SetInterrupt(ctx.Done())
	st, done, err := c.prepared(query)
	if err != nil {
		return givenUp(ctx, err)
	}
	defer done()
	if err := bind(st, args); err != nil {
		return err
	}
	for r := (liteRow{st}); ; {
		more, err := st.Step()
		if err != nil {
			return givenUp(ctx, err)
		}
		if !more {
			return nil
		}
		if err := row(r); err != nil {
			return err
		}
	}
}

// givenUp tells a read that was given up from one that failed.
func givenUp(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return err
}

func (d *direct) take(ctx context.Context) (*lite, error) {
	var c *lite
	select {
	case c = <-d.slots:
	case <-d.closed:
		return nil, sql.ErrConnDone
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	if c != nil {
		return c, nil
	}
	c, err := d.open()
	if err != nil {
		d.slots <- nil
		return nil, err
	}
	return c, nil
}

func (d *direct) open() (*lite, error) {
	conn, err := sqlite.OpenConn(d.address, sqlite.OpenReadWrite, sqlite.OpenURI)
	if err != nil {
		return nil, fmt.Errorf("opening a reader: %w", err)
	}
	for _, p := range d.pragmas {
		if err := sqlitex.ExecuteTransient(conn, "PRAGMA "+p, nil); err != nil {
			return nil, errors.Join(fmt.Errorf("pragma %s of a reader: %w", p, err), conn.Close())
		}
	}
	return &lite{Conn: conn, kept: map[string]*sqlite.Stmt{}}, nil
}

// prepared is the statement of a query, and what gives it back. Conn.Prepare
// keeps statements too, but clears what was bound to them, and then SQLite plans
// the query anew each time.
func (c *lite) prepared(query string) (*sqlite.Stmt, func() error, error) {
	if st := c.kept[query]; st != nil {
		return st, st.Reset, nil
	}
	st, _, err := c.PrepareTransient(query)
	if err != nil {
		return nil, nil, err
	}
	if len(c.kept) >= preparedAtMost {
		return st, st.Finalize, nil
	}
	c.kept[query] = st
	return st, st.Reset, nil
}

// Close waits for the reads under way and closes the connections, once.
func (d *direct) Close() error {
	select {
	case <-d.closed:
		return nil
	default:
		close(d.closed)
	}
	var errs []error
	for range cap(d.slots) {
		if c := <-d.slots; c != nil {
			for _, st := range c.kept {
				errs = append(errs, st.Finalize())
			}
			errs = append(errs, c.Close())
		}
	}
	return errors.Join(errs...)
}

// bind gives a statement its arguments. Ours are written $1, $2 and so on, in
// any order; to SQLite these are names.
func bind(st *sqlite.Stmt, args []any) error {
	for i := 1; i <= st.BindParamCount(); i++ {
		n, err := strconv.Atoi(st.BindParamName(i)[1:])
		if err != nil || n < 1 || n > len(args) {
			return fmt.Errorf("no argument for %s among %d", st.BindParamName(i), len(args))
		}
		v, err := driver.DefaultParameterConverter.ConvertValue(args[n-1])
		if err != nil {
			return fmt.Errorf("argument %d: %w", n, err)
		}
		switch v := v.(type) {
		case nil:
			st.BindNull(i)
		case int64:
			st.BindInt64(i, v)
		case float64:
			st.BindFloat(i, v)
		case bool:
			st.BindBool(i, v)
		case string:
			st.BindText(i, v)
		case []byte:
			st.BindBytes(i, v)
		default:
			return fmt.Errorf("argument %d is a %T, which SQLite has no type for", n, v)
		}
	}
	return nil
}

// A liteRow is the row at which a statement stands.
type liteRow struct{ st *sqlite.Stmt }

// Scan reads the columns as database/sql does, into the types that we use.
func (r liteRow) Scan(dest ...any) error {
	if len(dest) != r.st.ColumnCount() {
		return fmt.Errorf("%d columns are read into %d values", r.st.ColumnCount(), len(dest))
	}
	for i, d := range dest {
		if err := r.into(i, d); err != nil {
			return fmt.Errorf("column %s: %w", r.st.ColumnName(i), err)
		}
	}
	return nil
}

func (r liteRow) into(i int, dest any) error {
	kind := r.st.ColumnType(i)
	switch d := dest.(type) {
	case *string:
		if kind == sqlite.TypeText {
			*d = r.st.ColumnText(i)
			return nil
		}
	case *int64:
		if kind == sqlite.TypeInteger {
			*d = r.st.ColumnInt64(i)
			return nil
		}
	case *int:
		if kind == sqlite.TypeInteger {
			*d = int(r.st.ColumnInt64(i))
			return nil
		}
	case *float64:
		if kind == sqlite.TypeFloat || kind == sqlite.TypeInteger {
			*d = r.st.ColumnFloat(i)
			return nil
		}
	case *bool:
		if n := r.st.ColumnInt64(i); kind == sqlite.TypeInteger && (n == 0 || n == 1) {
			*d = n == 1
			return nil
		}
	case *stamp:
		return d.Scan(r.value(i, kind))
	case *[]byte:
		if kind == sqlite.TypeBlob || kind == sqlite.TypeNull {
			*d = r.bytes(i)
			return nil
		}
	case sql.Scanner:
		return d.Scan(r.value(i, kind))
	}
	return r.reflected(i, kind, reflect.ValueOf(dest).Elem())
}

// reflected reads a column into a named type of ours, or into a pointer, which
// is nil for NULL.
func (r liteRow) reflected(i int, kind sqlite.ColumnType, d reflect.Value) error {
	switch {
	case d.Kind() == reflect.Pointer && kind == sqlite.TypeNull:
		d.SetZero()
		return nil
	case d.Kind() == reflect.Pointer:
		v := reflect.New(d.Type().Elem())
		d.Set(v)
		return r.into(i, v.Interface())
	case d.Kind() == reflect.String && kind == sqlite.TypeText:
		d.SetString(r.st.ColumnText(i))
		return nil
	case d.CanInt() && kind == sqlite.TypeInteger && !d.OverflowInt(r.st.ColumnInt64(i)):
		d.SetInt(r.st.ColumnInt64(i))
		return nil
	case d.CanFloat() && (kind == sqlite.TypeFloat || kind == sqlite.TypeInteger):
		d.SetFloat(r.st.ColumnFloat(i))
		return nil
	case d.Kind() == reflect.Interface && d.NumMethod() == 0:
		if v := r.value(i, kind); v != nil {
			d.Set(reflect.ValueOf(v))
		} else {
			d.SetZero()
		}
		return nil
	}
	return fmt.Errorf("%v cannot be read into a %s", kind, d.Type())
}

// bytes is a column's bytes; none are nil, as the other driver has it.
func (r liteRow) bytes(i int) []byte {
	if r.st.ColumnLen(i) == 0 {
		return nil
	}
	b := make([]byte, r.st.ColumnLen(i))
	r.st.ColumnBytes(i, b)
	return b
}

// value is a column as a driver gives it.
func (r liteRow) value(i int, kind sqlite.ColumnType) any {
	switch kind {
	case sqlite.TypeInteger:
		return r.st.ColumnInt64(i)
	case sqlite.TypeFloat:
		return r.st.ColumnFloat(i)
	case sqlite.TypeText:
		return r.st.ColumnText(i)
	case sqlite.TypeBlob:
		return r.bytes(i)
	}
	return nil
}
