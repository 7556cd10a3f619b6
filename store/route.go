package store

import (
	"context"
	"strings"

	"sinterbook/store/shop"
)

func scanRoute(row scanner) (shop.Route, error) {
	var r shop.Route
	err := row.Scan(&r.ID, &r.Template, &r.Version)
	return r, err
}

// Routes lists every version of every route template, newest first.
func (s *Store) Routes(ctx context.Context) ([]shop.Route, error) {
	routes, err := list(ctx, s.db, "routes", scanRoute, "SELECT id, template, version FROM route ORDER BY template, version DESC")
	if err != nil {
		return nil, err
	}
	for i := range routes {
		if routes[i].Steps, err = stepsOfRoute(ctx, s.db, routes[i].ID); err != nil {
			return nil, err
		}
	}
	return routes, nil
}

// Route is one version of a template; version 0 asks for the newest.
func (s *Store) Route(ctx context.Context, template string, version int) (shop.Route, error) {
	return routeOf(ctx, s.db, template, version)
}

func routeOf(ctx context.Context, q querier, template string, version int) (shop.Route, error) {
	r, err := one("route", template, scanRoute, q.QueryRowContext(ctx,
		"SELECT id, template, version FROM route WHERE template = $1 AND (version = $2 OR $2 = 0) ORDER BY version DESC LIMIT 1", template, version))
	if err != nil {
		return r, err
	}
	r.Steps, err = stepsOfRoute(ctx, q, r.ID)
	return r, err
}

func stepsOfRoute(ctx context.Context, q querier, id int64) ([]shop.RouteStep, error) {
	return list(ctx, q, "route steps", func(row scanner) (shop.RouteStep, error) {
		var st shop.RouteStep
		var acts string
		err := row.Scan(&st.Step, &st.Operation, &acts, &st.Optional, &st.Yields)
		if acts != "" {
			st.Group = strings.Split(acts, ",")
		}
		return st, err
	}, "SELECT step, operation, acts, optional = 1, yields FROM route_step WHERE route_id = $1 ORDER BY step", id)
}

func (a applying) routeReleased(e shop.RouteReleased) error {
	if err := a.add("route", e.Template, "INSERT INTO route (id, template, version) VALUES ($1, $2, $3)", a.seq, e.Template, e.Version); err != nil {
		return err
	}
	for _, st := range e.Steps {
		if err := a.exec("INSERT INTO route_step (route_id, step, operation, acts, optional, yields) VALUES ($1, $2, $3, $4, $5, $6)",
			a.seq, st.Step, st.Operation, strings.Join(st.Group, ","), flag(st.Optional), st.Yields); err != nil {
			return err
		}
	}
	return nil
}

// flag is a yes or no as both databases keep it.
func flag(yes bool) int64 {
	if yes {
		return 1
	}
	return 0
}
