package scenario

import "sinterbook/store/shop"

func (p *plan) station(r row) {
	by, at := p.someone(r, "station-added")
	number := r.get("station")
	p.add(r, "", at, by, shop.StationAdded{Station: number, Name: r.need("name"), Operation: r.need("operation"),
		Equipment: p.equipmentAt(r), Code: codeFor("station", number)})
}

// equipmentAt is what stands at a station. The folder does not say it: it is
// the machine that the station's name names, or the one oven in which all
// pieces of its operation lay.
func (p *plan) equipmentAt(station row) string {
	for _, word := range station.words("name") {
		if _, ok := p.machines.find(word); ok {
			return word
		}
	}
	rows := map[string]*table{shop.OpDry: p.drying, shop.OpTemper: p.tempering}[station.get("operation")]
	if rows == nil || len(rows.rows) == 0 {
		return ""
	}
	oven := rows.rows[0].get("oven")
	if len(rows.of("oven", oven)) < len(rows.rows) {
		return ""
	}
	return oven
}

// stand says where an entry was recorded: at the station for its operation.
// Where there are several it is the one with that equipment.
func (p *plan) stand(e *planned, operation, equipment string) {
	for _, st := range p.stations.of("operation", operation) {
		if e.Station == "" || equipment != "" && p.equipmentAt(st) == equipment {
			e.Station, e.Device = st.get("station"), st.get("device")
		}
	}
}
