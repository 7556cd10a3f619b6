package scenario

import (
	"fmt"
	"io/fs"
	"slices"
	"time"
)

// A folder is a scenario as it was read, with everything that is wrong in it.
type folder struct {
	fsys   fs.FS
	faults []error

	site string
	zone *time.Location
	now  time.Time

	scenario, people, authorisations, stations, policy, overrides, route                  *table
	designs, characteristics, orders, moulds, customers, scans                            *table
	machines, machineVersions, cutters, carriers, ovens, equipmentEvents                  *table
	furnaces, positions, sensors, sat, tus, recipes, setters                              *table
	gauges, calibrations, checks                                                          *table
	lots, certificates, factors, containers, draws, containerEvents, coupons, releases    *table
	inserts, prints, printEvents, drying, weighings, green                                *table
	loads, loadItems, loadEvents, tempering, results                                      *table
	nonconformances, concessions, holds, fitups, faces, deliveries, outages, instructions *table
}

// columns is short for a list of column names. One with a question mark may be
// left out.
func columns(names ...string) []string { return names }

// files says what is read from which file. Columns that are not named here
// come with the things that they are about.
var files = []struct {
	name string
	kind
	into func(*folder) **table
}{
	{"people.csv", kind{columns("badge"), columns("name", "role", "from", "shift?")}, func(f *folder) **table { return &f.people }},
	{"authorisations.csv", kind{columns("badge", "operation"), columns("from", "until", "given_by", "evidence")}, func(f *folder) **table { return &f.authorisations }},
	{"stations.csv", kind{columns("station"), columns("name", "operation", "device")}, func(f *folder) **table { return &f.stations }},
	{"gate_policy.csv", kind{columns("gate", "operation", "from"), columns("mode", "note")}, func(f *folder) **table { return &f.policy }},
	{"overrides.csv", kind{columns("override"), columns("gate", "item", "at", "by", "reason")}, func(f *folder) **table { return &f.overrides }},
	{"route.csv", kind{columns("template", "version", "operation"), columns("step", "group", "optional", "yields")}, func(f *folder) **table { return &f.route }},
	{"designs.csv", kind{columns("design", "revision"), columns("name", "drawing_unit", "x_mm", "y_mm", "z_mm", "layer_mm", "layers_between_passes", "orientation", "in_force_from", "by")}, func(f *folder) **table { return &f.designs }},
	{"characteristics.csv", kind{columns("characteristic"), columns("design", "revision", "name", "axis", "unit", "nominal", "lower", "upper", "key", "how")}, func(f *folder) **table { return &f.characteristics }},
	{"customers.csv", kind{columns("customer"), nil}, func(f *folder) **table { return &f.customers }},
	{"scans.csv", kind{columns("scan"), columns("at", "by", "item", "action")}, func(f *folder) **table { return &f.scans }},
	{"orders.csv", kind{columns("order"), columns("customer", "design", "quantity", "due", "unit", "mould")}, func(f *folder) **table { return &f.orders }},
	{"moulds.csv", kind{columns("mould"), columns("customer", "in_at")}, func(f *folder) **table { return &f.moulds }},
	{"machines.csv", kind{columns("machine"), columns("nozzle_mm", "geometry_checked_at", "geometry_due_at")}, func(f *folder) **table { return &f.machines }},
	{"machine_versions.csv", kind{columns("machine", "from"), columns("controller_version", "by")}, func(f *folder) **table { return &f.machineVersions }},
	{"cutters.csv", kind{columns("cutter"), columns("machine", "diameter_mm", "life_min", "offset_typed_mm", "installed_at", "removed_at")}, func(f *folder) **table { return &f.cutters }},
	{"carriers.csv", kind{columns("carrier"), columns("kind")}, func(f *folder) **table { return &f.carriers }},
	{"ovens.csv", kind{columns("oven"), columns("shelves", "limit_c")}, func(f *folder) **table { return &f.ovens }},
	{"equipment_events.csv", kind{columns("equipment", "at"), columns("by", "what")}, func(f *folder) **table { return &f.equipmentEvents }},
	{"sensors.csv", kind{columns("sensor"), columns("furnace", "zone", "type", "installed_at", "certificate")}, func(f *folder) **table { return &f.sensors }},
	{"sat.csv", kind{columns("furnace", "sensor", "at"), columns("set_point_c", "reading_c", "reference_c", "difference_c", "limit_c", "verdict", "by", "next_due_at")}, func(f *folder) **table { return &f.sat }},
	{"tus.csv", kind{columns("furnace", "zone", "at"), columns("set_point_c", "deviation_c", "limit_c", "verdict", "by", "next_due_at")}, func(f *folder) **table { return &f.tus }},
	{"recipes.csv", kind{columns("recipe", "revision"), columns("kind", "soak_c", "soak_band_c", "soak_min", "soak_tol_min", "dew_point_max_c", "released_at", "by", "steps")}, func(f *folder) **table { return &f.recipes }},
	{"setters.csv", kind{columns("setter"), columns("cycles_before", "life_cycles")}, func(f *folder) **table { return &f.setters }},
	{"furnaces.csv", kind{columns("furnace"), columns("sat_limit_c", "tus_limit_c", "sat_interval_days", "tus_interval_days")}, func(f *folder) **table { return &f.furnaces }},
	{"positions.csv", kind{columns("furnace", "position"), columns("zone", "use")}, func(f *folder) **table { return &f.positions }},
	{"gauge_calibrations.csv", kind{columns("gauge", "at", "point"), columns("as_found", "as_left", "certificate", "verdict", "next_due_at")}, func(f *folder) **table { return &f.calibrations }},
	{"gauge_checks.csv", kind{columns("gauge", "at"), columns("by", "block_mm", "reading_mm", "limit_typed_mm", "verdict_recorded")}, func(f *folder) **table { return &f.checks }},
	{"gauges.csv", kind{columns("gauge"), columns("kind", "range", "resolution_mm", "mpe_mm", "u_mm")}, func(f *folder) **table { return &f.gauges }},
	{"lots.csv", kind{columns("lot"), columns("material", "made_on", "received_at", "expires_on", "open_life_days", "drying_band_low_pct", "drying_band_high_pct", "state", "released_at", "released_by")}, func(f *folder) **table { return &f.lots }},
	{"certificates.csv", kind{columns("lot", "property"), columns("value", "unit", "lower", "upper")}, func(f *folder) **table { return &f.certificates }},
	{"factors.csv", kind{columns("lot", "axis", "from"), columns("s_pct", "k", "basis", "by")}, func(f *folder) **table { return &f.factors }},
	{"containers.csv", kind{columns("container"), columns("lot", "received_at", "mass_in_g", "opened_at")}, func(f *folder) **table { return &f.containers }},
	{"draws.csv", kind{columns("draw"), columns("container", "at", "by", "item", "layer_from", "layer_to", "drawn_g", "purge_g")}, func(f *folder) **table { return &f.draws }},
	{"container_events.csv", kind{columns("container", "at", "kind"), columns("by", "grams", "note")}, func(f *folder) **table { return &f.containerEvents }},
	{"coupons.csv", kind{columns("coupon"), columns("kind", "lot", "container", "print", "load", "position", "axes_measured", "dry_loss_pct")}, func(f *folder) **table { return &f.coupons }},
	{"releases.csv", kind{columns("release", "design", "lot"), columns("design_revision", "machine", "recipe", "orientation", "kx", "ky", "kz", "evidence", "program", "program_sha256", "released_at", "superseded_at", "author", "second_signature", "second_signed_at")}, func(f *folder) **table { return &f.releases }},
	{"inserts.csv", kind{columns("insert"), columns("design", "revision", "order", "route", "opened_at", "replaces", "scratch_mark")}, func(f *folder) **table { return &f.inserts }},
	{"prints.csv", kind{columns("print"), columns("item", "machine", "release", "program_sha256", "controller_version", "carrier", "cutter", "cutter_min", "kx_used", "ky_used", "kz_used", "layers", "layers_done", "started_at", "ended_at", "started_by", "finish_entered_at", "finished_by", "room_c", "room_rh_pct", "printed_g", "outcome")}, func(f *folder) **table { return &f.prints }},
	{"print_events.csv", kind{columns("print", "at", "kind"), columns("layer", "by", "note")}, func(f *folder) **table { return &f.printEvents }},
	{"drying.csv", kind{columns("item"), columns("oven", "shelf", "started_at", "ended_at", "by_in", "by_out", "air_c", "loss_pct", "constant_mass_pct")}, func(f *folder) **table { return &f.drying }},
	{"green.csv", kind{columns("item", "axis"), columns("nominal_mm", "k_used", "green_mm", "gauge", "at", "by")}, func(f *folder) **table { return &f.green }},
	{"weighings.csv", kind{columns("item", "at"), columns("by", "gauge", "grams")}, func(f *folder) **table { return &f.weighings }},
	{"loads.csv", kind{columns("load"), columns("furnace", "recipe", "door_closed_at", "door_opened_at", "started_by", "unloaded_by", "clock_check_s", "form", "entered_at", "entered_by", "checked_by")}, func(f *folder) **table { return &f.loads }},
	{"load_items.csv", kind{columns("load", "item"), columns("position", "setter", "setter_cycles", "orientation", "scanned_in_at", "scanned_in_by")}, func(f *folder) **table { return &f.loadItems }},
	{"load_events.csv", kind{columns("load", "at", "item"), columns("from_position", "to_position", "by", "reason")}, func(f *folder) **table { return &f.loadEvents }},
	{"tempering.csv", kind{columns("item"), columns("recipe", "oven", "started_at", "ended_at", "by")}, func(f *folder) **table { return &f.tempering }},
	{"results.csv", kind{columns("result"), columns("item", "characteristic", "value_typed", "unit", "gauge", "by", "part_temp_c", "at", "purpose", "verdict")}, func(f *folder) **table { return &f.results }},
	{"nonconformances.csv", kind{columns("number", "item"), columns("raised_at", "by", "what", "state", "disposition", "closed_at", "closed_by", "note")}, func(f *folder) **table { return &f.nonconformances }},
	{"concessions.csv", kind{columns("concession"), columns("nonconformance", "items", "limit", "mould", "customer", "customer_reference", "quantity", "given_at", "given_by", "expires_on")}, func(f *folder) **table { return &f.concessions }},
	{"holds.csv", kind{columns("hold"), columns("on", "set_at", "by", "reason", "lifted_at", "lifted_by", "lift_reason")}, func(f *folder) **table { return &f.holds }},
	{"instructions.csv", kind{columns("instruction", "revision"), columns("operation", "in_force_from", "approved_by", "title", "text?")}, func(f *folder) **table { return &f.instructions }},
	{"outages.csv", kind{columns("from"), columns("until", "note")}, func(f *folder) **table { return &f.outages }},
	{"fitups.csv", kind{columns("insert"), columns("mould", "place", "at", "by", "pocket_x_mm", "pocket_y_mm", "gap_x_mm", "gap_y_mm", "shim_um", "spotting_pct", "hours", "note")}, func(f *folder) **table { return &f.fitups }},
	{"fitup_faces.csv", kind{columns("insert", "face"), columns("removed_um", "shim_um")}, func(f *folder) **table { return &f.faces }},
	{"deliveries.csv", kind{columns("mould"), columns("shipped_at", "by", "note_no")}, func(f *folder) **table { return &f.deliveries }},
}

// readFolder reads every file that this form understands.
func readFolder(fsys fs.FS) *folder {
	f := &folder{fsys: fsys, zone: time.UTC}
	f.scenario = f.read("scenario.csv", kind{columns("name"), columns("value")})
	f.facts()
	for _, file := range files {
		*file.into(f) = f.read(file.name, file.kind)
	}
	return f
}

// facts reads what is stated about the folder as a whole.
func (f *folder) facts() {
	if format, r := f.fact("format"); format != "1" && format != "" {
		r.wrong("value", "format %q is not one that can be read: this is format 1.", format)
	}
	f.site, _ = f.fact("site")
	name, r := f.fact("zone")
	if zone, err := time.LoadLocation(name); err == nil && name != "" && name != "Local" {
		f.zone = zone
	} else if name != "" {
		r.wrong("value", "%q is not a time zone: name one like Europe/Vienna.", name)
	}
	text, r := f.fact("now")
	at, err := time.Parse(time.RFC3339, text)
	if err != nil && text != "" {
		r.wrong("value", "%q is not a time: write it with its offset, as 2025-11-21T09:00:00+01:00.", text)
	}
	f.now = at
}

// fact is one of the folder's statements, with its row.
func (f *folder) fact(name string) (string, row) {
	r, ok := f.scenario.find(name)
	if !ok || r.get("value") == "" {
		f.fault("scenario.csv", 0, "name", "the folder does not state its %s.", name)
		return "", r
	}
	return r.get("value"), r
}

// unread lists the files of the folder that come with later things.
func (f *folder) unread() ([]string, error) {
	names, err := fs.Glob(f.fsys, "*.csv")
	if err != nil {
		return nil, fmt.Errorf("listing the folder: %w", err)
	}
	var left []string
	for _, name := range names {
		read := name == "scenario.csv"
		for _, file := range files {
			read = read || file.name == name
		}
		if !read {
			left = append(left, name)
		}
	}
	slices.Sort(left)
	return left, nil
}
