package store

import (
	"context"

	"sinterbook/store/shop"
)

const stationColumns = "SELECT id, station, name, operation, equipment, code FROM station"

func scanStation(row scanner) (shop.Station, error) {
	var st shop.Station
	err := row.Scan(&st.ID, &st.Station, &st.Name, &st.Operation, &st.Equipment, &st.Code)
	return st, err
}

// Stations lists the stations in the order in which they were added.
func (s *Store) Stations(ctx context.Context) ([]shop.Station, error) {
	return list(ctx, s.db, "stations", scanStation, stationColumns+" ORDER BY id")
}

// Station is a station by its number, or ErrNotFound.
func (s *Store) Station(ctx context.Context, number string) (shop.Station, error) {
	return recently(&s.recent, "station/"+number, func() (shop.Station, error) {
		return one("station", number, scanStation, s.db.QueryRowContext(ctx, stationColumns+" WHERE station = $1", number))
	})
}

func (a applying) stationAdded(e shop.StationAdded) error {
	if err := a.add("station", e.Station, "INSERT INTO station (id, station, name, operation, equipment, code) VALUES ($1, $2, $3, $4, $5, $6)",
		a.seq, e.Station, e.Name, e.Operation, e.Equipment, e.Code); err != nil {
		return err
	}
	return a.code(e.Code, "station", e.Station)
}

// deviceRegistered writes beside the log, as personKeysSet does.
func (a applying) deviceRegistered(e shop.DeviceRegistered) error {
	if _, err := thing(a.ctx, a.q, "station", e.Station); err != nil {
		return err
	}
	if e.Private == "" {
		return nil
	}
	// A tablet that is registered again is shut out under its old token, and
	// whoever was signed in there.
	if err := a.exec("DELETE FROM device WHERE device = $1", e.Device); err != nil {
		return err
	}
	if err := a.exec("DELETE FROM session WHERE device = $1", e.Device); err != nil {
		return err
	}
	return a.exec("INSERT INTO device (token_hash, device, station) VALUES ($1, $2, $3)", e.Private, e.Device, e.Station)
}
