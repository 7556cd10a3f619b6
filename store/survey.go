package store

import (
	"context"
	"time"

	"sinterbook/store/shop"
)

const surveyColumns = `SELECT survey.id, furnace.furnace, at, by_badge, set_text, set_unit, set_c, limit_text, limit_unit, limit_k, verdict, due_day
	FROM survey JOIN furnace ON furnace.id = survey.furnace_id`

func scanSurvey(row scanner) (shop.Survey, error) {
	var y shop.Survey
	var at stamp
	var set, limit readingColumns
	into := append([]any{&y.Seq, &y.Furnace, &at, &y.By}, set.scan()...)
	if err := row.Scan(append(append(into, limit.scan()...), &y.Verdict, &y.Due)...); err != nil {
		return y, err
	}
	y.At = at.Time
	return y, readings(map[*shop.Reading]*readingColumns{&y.SetPoint: &set, &y.Limit: &limit})
}

// Surveys lists the temperature uniformity surveys of a furnace, newest first.
func (s *Store) Surveys(ctx context.Context, furnace string) ([]shop.Survey, error) {
	return surveyed(ctx, s.db, surveyColumns+" WHERE furnace.furnace = $1 ORDER BY at DESC, survey.id DESC", furnace)
}

// lastSurvey is the last survey of a furnace up to a time; zero where there was none.
func lastSurvey(ctx context.Context, q querier, furnace string, at time.Time) (shop.Survey, error) {
	last, err := surveyed(ctx, q, surveyColumns+" WHERE furnace.furnace = $1 AND at <= $2 ORDER BY at DESC, survey.id DESC LIMIT 1", furnace, stamp{at})
	if err != nil || len(last) == 0 {
		return shop.Survey{}, err
	}
	return last[0], nil
}

func surveyed(ctx context.Context, q querier, query string, args ...any) ([]shop.Survey, error) {
	all, err := list(ctx, q, "surveys", scanSurvey, query, args...)
	if err != nil {
		return nil, err
	}
	for i := range all {
		all[i].Zones, err = list(ctx, q, "zones of a survey", func(row scanner) (shop.ZoneOff, error) {
			var z shop.ZoneOff
			var off readingColumns
			if err := row.Scan(append([]any{&z.Zone}, off.scan()...)...); err != nil {
				return z, err
			}
			return z, readings(map[*shop.Reading]*readingColumns{&z.Off: &off})
		}, "SELECT zone, off_text, off_unit, off_k FROM survey_zone WHERE survey_id = $1 ORDER BY place", all[i].Seq)
		if err != nil {
			return nil, err
		}
	}
	return all, nil
}

// checkSurvey refuses a survey of a zone that the furnace has not, and one
// that leaves a zone out.
func checkSurvey(ctx context.Context, q querier, e shop.FurnaceSurveyed) error {
	f, err := furnaceByNumber(ctx, q, e.Furnace)
	if err != nil {
		return err
	}
	left := f.ControlledZones()
	for i, z := range e.Zones {
		if err := f.HasZone(shop.FieldOf("zones", i), z.Zone); err != nil {
			return err
		}
		left = without(left, z.Zone)
	}
	if len(left) > 0 {
		return shop.Wrong("zones", "The survey of furnace %s says nothing of zone %s.", e.Furnace, shop.Listed(left))
	}
	return nil
}

func (a applying) furnaceSurveyed(e shop.FurnaceSurveyed) error {
	furnace, err := thing(a.ctx, a.q, "furnace", e.Furnace)
	if err != nil {
		return err
	}
	if err := a.exec(`INSERT INTO survey (id, furnace_id, at, by_badge, set_text, set_unit, set_c, limit_text, limit_unit, limit_k, verdict, due_day)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)`, args(a.seq, furnace, a.at(), a.By, e.SetPoint, e.Limit, e.Verdict, e.Due)...); err != nil {
		return err
	}
	for i, z := range e.Zones {
		if err := a.exec("INSERT INTO survey_zone (survey_id, place, zone, off_text, off_unit, off_k) VALUES ($1, $2, $3, $4, $5, $6)", args(a.seq, i+1, z.Zone, z.Off)...); err != nil {
			return err
		}
	}
	return nil
}
