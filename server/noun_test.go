package server

import (
	"errors"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"sinterbook/store/shop"
	"sinterbook/views"
)

// entries is how many the log has.
func (b *bookTest) entries() int64 {
	b.Helper()
	book, err := b.store.Book(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	return book.Size
}

// emptied sends a form with nothing typed: what the page proposed is cleared.
func (b *bookTest) emptied(badge string, form *html.Node) shownPage {
	b.Helper()
	fields := url.Values{}
	for _, n := range elements(form, "input", "textarea", "select") {
		if attrOf(n, "type") != "hidden" {
			fields.Set(attrOf(n, "name"), "")
		}
	}
	return b.post(badge, form, fields)
}

// linked fails the test unless every sentence above a form leads to a place on
// the page.
func (p shownPage) linked() shownPage {
	p.Helper()
	for _, to := range p.links() {
		if id, here := strings.CutPrefix(to, "#"); here && !strings.Contains(p.raw, `id="`+id+`"`) {
			p.Errorf("there is no %q to lead to", id)
		}
	}
	return p
}

// toFields counts the links that lead to a field of the page.
func (p shownPage) toFields() int {
	n := 0
	for _, to := range p.links() {
		if strings.HasPrefix(to, "#f-") {
			n++
		}
	}
	return n
}

// TestEmptyForms sends every form with nothing in it: each field that is
// missing is named and linked, and nothing is stored.
func TestEmptyForms(t *testing.T) {
	b := staffed(t)
	for _, tt := range []struct {
		path, badge string
		want        []string
	}{
		{"/new/order", "700", []string{"The order number is missing.", "The customer is missing.", "The part number is missing.", "The quantity is missing.", "The day it is due is not a day", "The unit for this order is not stated"}},
		{"/new/insert", "700", []string{"The order is missing.", "The serial number is missing.", "The route is missing."}},
		{"/new/insert?order=O-1", "700", []string{"The serial number is missing.", "The route is missing."}},
		{"/new/design", "101", []string{"The part number is missing.", "The revision is missing.", "The name of the part is missing.", "The material is missing.", "The unit of the drawing is not stated",
			"The nominal size in X is missing.", "The nominal size in Y is missing.", "The nominal size in Z is missing.", "The layer height is missing.", "The unit of the layer height is not stated",
			"The number of layers between shaping passes is missing.", "The build orientation is missing.", "A characteristic is missing"}},
		{"/new/release", "101", []string{"The release number is missing.", "The part number is missing.", "The paste lot is missing.", "The machine is missing.", "The furnace recipe is missing.", "The build orientation is missing.",
			"The oversize factor in X is missing.", "The oversize factor in Y is missing.", "The oversize factor in Z is missing.", "What the oversize factors rest on is missing.", "The program is missing.", "SHA-256 must be 64 digits"}},
		{"/new/lot", "101", []string{"The lot number is missing.", "The material is missing.", "The day it was mixed is not a day", "The last day of use is not a day", "The open life is missing."}},
		{"/new/container", "204", []string{"The container number is missing.", "The lot number is missing.", "The mass of paste in it is missing.", "The unit of the mass is not stated"}},
		{"/new/mould", "501", []string{"The mould number is missing.", "The customer is missing."}},
		{"/new/mould-return", "501", []string{"The mould is missing.", "Why it came back is missing."}},
		{"/new/return", "501", []string{"The insert is missing.", "Why it came back is missing.", "The place where it is kept apart is missing.", "Say from which operation on it goes through the route again"}},
		{"/new/machine", "101", []string{"The machine's number is missing.", "The nozzle bore is missing.", "The unit of the bore is not stated"}},
		{"/new/furnace", "101", []string{"The furnace's number is missing.", "A position is missing"}},
		{"/new/gauge", "402", []string{"The gauge's number is missing.", "The kind of gauge is missing.", "The range is missing."}},
		{"/new/check", "402", []string{"The gauge is missing.", "The size of the block is missing.", "The reading of the block is missing.", "The limit of the check is missing.", "The unit of all three is not stated"}},
		{"/new/calibration", "601", []string{"The gauge is missing.", "The number of the certificate is missing.", "A point is missing", "choose pass or fail"}},
		{"/new/machine-check", "101", []string{"The machine is missing.", "choose pass or fail"}},
		{"/new/controller", "101", []string{"The machine is missing.", "The controller version is missing."}},
		{"/new/sensor", "311", []string{"The sensor's number is missing.", "The furnace is missing.", "The zone is missing.", "letter of IEC 60584-1", "The number of its calibration certificate is missing."}},
		{"/new/sat", "311", []string{"The sensor is missing.", "The set point is missing.", "The furnace's reading is missing.", "The reading of the test sensor is missing.", "The limit is missing.", "The scale of the degrees is not stated"}},
		{"/new/tus", "311", []string{"The furnace is missing.", "The set point is missing.", "The limit is missing.", "A zone is missing", "The scale of the degrees is not stated"}},
		{"/new/furnace-test", "311", []string{"The load is missing.", "is not a safety test", "choose pass or fail"}},
		{"/new/recipe", "101", []string{"The recipe's number is missing.", "The revision is missing.", "must be for sintering or tempering", "The soak temperature is missing.", "The band of the soak is missing.", "The soak time is missing.", "The tolerance of the soak time is missing.", "What the steps are is missing."}},
		{"/new/setter", "311", []string{"The setter's number is missing.", "The number of runs behind it is missing.", "The number of runs that it is allowed is missing."}},
		{"/new/oven", "101", []string{"The oven's number is missing.", "The number of shelves is missing.", "The highest air temperature allowed is missing.", "The scale of the degrees is not stated"}},
		{"/new/carrier", "204", []string{"The carrier's number is missing.", "must be a plate or a tray"}},
		{"/new/cutter", "204", []string{"The cutter's number is missing.", "The machine is missing.", "The diameter is missing.", "The cutting time allowed is missing.", "The unit of both is not stated"}},
		{"/new/cutter-out", "204", []string{"The cutter is missing."}},
		{"/new/service", "101", []string{"is not a kind of equipment", "The number of the equipment is missing.", "What was done is missing."}},
		{"/new/permit", "601", []string{"The number of the permit is missing.", "The insert is missing.", "There is no gate", "is not an operation of the route.", "Why it may depart from it is missing.", "The last day on which it can be used is not a day"}},
		{"/new/factor", "101", []string{"The number of the proposal is missing.", "The lot is missing.", "A factor is missing", "What the factors rest on is missing."}},
		{"/new/lot-change", "101", []string{"The insert is missing.", "The lot that takes over is missing.", "The layer from which it takes over is missing.", "The reason is missing."}},
		{"/new/certificate", "101", []string{"The lot is missing.", "A property is missing"}},
		{"/new/filing?on_kind=lot&on_code=L2509-A", "101", []string{"The type of the document is missing.", "Who issued it is missing.", "The document itself is missing"}},
		{"/new/qualification", "101", []string{"The lot is missing.", "The design of the coupons is missing.", "The number of coupons is missing", "along which axes"}},
		{"/new/waste", "204", []string{"The container is missing.", "The mass thrown away is missing.", "Why it was thrown away is missing."}},
		{"/new/container-weighing", "204", []string{"The container is missing.", "The mass left is missing"}},
		{"/new/container-return", "101", []string{"The container is missing.", "The mass of paste sent back is missing.", "Why it is sent back is missing."}},
		{"/new/difference", "601", []string{"The container is missing.", "What was found is missing."}},
		{"/limits", "601", []string{"The limit is missing.", "The value of the limit is missing.", "The time from which it holds is missing.", "What it rests on is missing."}},
		{"/new/container-scrap", "204", []string{"The container is missing.", "The mass thrown away is missing", "Why it is scrapped is missing."}},
		{"/new/coupon", "204", []string{"The coupon's number is missing.", "must be for receipt or for a run", "The design of the coupon is missing.", "The container is missing.", "The machine is missing.", "The number of layers is missing.", "The mass drawn is missing."}},
		{"/new/coupon-placing", "311", []string{"The load is missing.", "The coupon is missing.", "The position is missing."}},
		{"/new/coupon-reading", "402", []string{"The coupon is missing.", "must be green or sintered", "The characteristic is missing.", "The reading is missing", "The gauge is missing.", "The unit of the reading is not stated"}},
		{"/new/nonconformance", "402", []string{"The insert is missing.", "What does not conform is missing.", "The nonconformance's number is missing."}},
		{"/new/instruction", "601", []string{"The instruction's number is missing.", "The revision is missing.", "is not an operation of the route.", "The title is missing.", "from which it is in force is missing."}},
		{"/new/route", "101", []string{"The name of the route is missing.", "The version is missing.", "The operation design release is missing from the route."}},
		{"/policies", "601", []string{"The gate is missing.", "The operation is missing.", "The mode is missing.", "The time from which it holds is missing."}},
	} {
		t.Run(tt.path, func(t *testing.T) {
			b.TB = t
			action, _, _ := strings.Cut(tt.path, "?")
			form := b.get(tt.badge, tt.path).says(http.StatusOK).mustForm(action)
			before := b.entries()
			p := b.emptied(tt.badge, form).says(http.StatusUnprocessableEntity, append(tt.want, "Nothing was stored")...).linked()
			if n := p.toFields(); n < len(tt.want) {
				t.Errorf("%d sentences lead to their field; want %d", n, len(tt.want))
			}
			if after := b.entries(); after != before {
				t.Errorf("the log grew from %d to %d", before, after)
			}
		})
	}
	b.TB = t
}

// TestBadInput sends forms with one thing wrong: the sentence says it, nothing
// is stored, and what was typed is still there.
func TestBadInput(t *testing.T) {
	b := staffed(t)
	lot := url.Values{"lot": {"L2510-A"}, "material": {"HT44 paste"}, "made_on": {"2025-10-01"}, "expires_on": {"2026-03-01"}, "open_life_days": {"30"}}
	box := url.Values{"lot": {"L2509-A"}, "container": {"L2509-A/03"}, "mass": {"2500.1"}, "mass_unit": {"g"}}
	design := url.Values{"design": {"SF80"}, "revision": {"A"}, "name": {"slide face"}, "material": {"HT44"}, "drawing_unit": {"mm"}, "x": {"80"}, "y": {"20"}, "z": {"18"},
		"layer": {"0.1"}, "layer_unit": {"mm"}, "layers_between_passes": {"5"}, "orientation": {"+Z up"},
		"characteristics.2": {"SF80.1"}, "characteristics.2.name": {"length"}, "characteristics.2.axis": {"X"}, "characteristics.2.quantity": {"length"},
		"characteristics.2.nominal": {"80"}, "characteristics.2.lower": {"79.88"}, "characteristics.2.upper": {"80.12"}, "characteristics.2.unit": {"mm"}}
	release := url.Values{"release": {"DR-09 A"}, "design": {"CR40"}, "lot": {"L2509-A"}, "machine": {"P1"}, "recipe": {"SR-1340 C"}, "orientation": {"+Z up"},
		"kx": {"1.2019"}, "ky": {"1.2019"}, "kz": {"1.2180"}, "evidence": {"coupons"}, "program": {"CR40.pgm"}, "program_sha256": {testProgram}}
	order := url.Values{"order": {"O-9"}, "customer": {"K1"}, "design": {"CR40"}, "quantity": {"2"}, "due": {"2025-12-01"}, "unit": {"mm"}, "mould": {"M301"}}
	insert := url.Values{"order": {"O-1"}, "insert": {"I-0101"}, "template": {"RT-1, version 1"}}
	furnace := url.Values{"furnace": {"F9"}, "positions.1": {"T1"}, "positions.1.zone": {"top"}, "positions.1.use": {"insert"}, "positions.3": {"M1"}, "positions.3.zone": {"middle"}, "positions.3.use": {"insert"}}
	gauge := url.Values{"gauge": {"M-15"}, "type": {"micrometer"}, "range": {"25-50 mm"}, "resolution": {"0.001"}, "error": {"0.004"}, "length_unit": {"mm"}}
	block := url.Values{"gauge": {"M-12"}, "unit": {"mm"}, "block": {"25.000"}, "read": {"25.001"}, "limit": {"0.004"}}
	calibration := url.Values{"gauge": {"M-12"}, "certificate": {"CAL-25-031"}, "verdict": {"pass"}, "due": {"2026-05-20"}, "unit": {"mm"}, "points.2": {"25"}, "points.2.found": {"+0.001"}}
	policy := url.Values{"gate": {"not held"}, "operation": {"print"}, "mode": {"warn"}, "from": {"2025-12-01T06:00"}}
	for _, tt := range []struct {
		name, path, badge string
		good              url.Values
		wrong             map[string]string
		status            int
		want              string
		at                string // the form's field that says it, "" for the form as a whole
	}{
		{"a lot that is there", "/new/lot", "101", lot, map[string]string{"lot": "L2509-A"}, 409, "There is already a lot L2509-A in this book.", ""},
		{"expiry before the making day", "/new/lot", "101", lot, map[string]string{"expires_on": "2025-09-01"}, 422, "The last day of use 2025-09-01 lies before the day it was mixed, 2025-10-01.", "expires_on"},
		{"a day in another order", "/new/lot", "101", lot, map[string]string{"made_on": "01.10.2025"}, 422, "The day it was mixed is not a day: write it as 2025-11-21.", "made_on"},
		{"open life in words", "/new/lot", "101", lot, map[string]string{"open_life_days": "thirty"}, 422, `The open life is "thirty": it must be a whole number.`, "open_life_days"},
		{"a space at the end", "/new/lot", "101", lot, map[string]string{"lot": "L2510-A "}, 422, "has a space at its beginning or end", "lot"},
		{"a container weighed in kilograms", "/new/container", "204", box, map[string]string{"mass": "2.5001"}, 409, "2.5001 kg are 2500.1 g", ""},
		{"a volume without its unit", "/new/design", "101", design, map[string]string{"volume": "25"}, 422, "The unit of the volume is not stated", "volume_unit"},
		{"a volume in the wrong unit", "/new/design", "101", design, map[string]string{"volume": "25", "volume_unit": "mm3"}, 422, "look at the unit", "volume"},
		{"a density of steel in kg/m³", "/new/lot", "101", lot, map[string]string{"wet_density": "4350"}, 422, "it may be in kg/m³", "wet_density"},
		{"a container that is there", "/new/container", "204", box, map[string]string{"container": "L2509-A/01"}, 409, "There is already a container L2509-A/01 in this book.", ""},
		{"a lot that is not there", "/new/container", "204", box, map[string]string{"lot": "L9999"}, 409, "There is no lot L9999 in this book.", ""},
		{"less than nothing", "/new/container", "204", box, map[string]string{"mass": "-3"}, 422, "it must be more than zero", "mass"},
		{"a thousands mark", "/new/container", "204", box, map[string]string{"mass": "2 500.1"}, 422, "has a mark between its digits", "mass"},
		{"two decimal signs", "/new/container", "204", box, map[string]string{"mass": "2.500,1"}, 422, "has more than one decimal sign", "mass"},
		{"not a number", "/new/container", "204", box, map[string]string{"mass": "NaN"}, 422, `"NaN" is not a number`, "mass"},
		{"mass without a unit", "/new/container", "204", box, map[string]string{"mass_unit": ""}, 422, "The unit of the mass is not stated", "mass_unit"},
		{"drawing without a unit", "/new/design", "101", design, map[string]string{"drawing_unit": ""}, 422, "The unit of the drawing is not stated", "drawing_unit"},
		{"millimetres of hardness", "/new/design", "101", design, map[string]string{"characteristics.2.quantity": "hardness"}, 422, `"mm" is not a unit of hardness: choose HRC.`, "characteristics.1.unit"},
		{"limits the wrong way round", "/new/design", "101", design, map[string]string{"characteristics.2.lower": "80.2"}, 422, "lower limit 80.2 mm not below its upper limit 80.12 mm", "characteristics.1"},
		{"a characteristic of nothing", "/new/design", "101", design, map[string]string{"characteristics.2.quantity": ""}, 422, "What characteristic SF80.1 measures is missing", "characteristics.1"},
		{"a characteristic twice", "/new/design", "101", design, map[string]string{"characteristics.4": "SF80.1", "characteristics.4.name": "width", "characteristics.4.quantity": "length"}, 422, "Characteristic SF80.1 stands twice.", "characteristics"},
		{"a revision that is there", "/new/design", "101", design, map[string]string{"design": "CR40", "revision": "B"}, 409, "There is already a design CR40 revision B in this book.", ""},
		{"k to three decimals", "/new/release", "101", release, map[string]string{"kx": "1.168"}, 422, "The oversize factor in X is 1.168: give it to four decimals.", "kx"},
		{"k outside the band", "/new/release", "101", release, map[string]string{"kz": "1.3001"}, 422, "it must lie from 1.10 to 1.30", "kz"},
		{"a hash that is short", "/new/release", "101", release, map[string]string{"program_sha256": "5e33af21"}, 422, "The program's SHA-256 must be 64 digits 0-9 and a-f.", "program_sha256"},
		{"a machine that is not there", "/new/release", "101", release, map[string]string{"machine": "P9"}, 409, "There is no machine P9 in this book.", ""},
		{"a design that is not there", "/new/release", "101", release, map[string]string{"design": "CR99"}, 409, "There is no design CR99", ""},
		{"a release that is there", "/new/release", "101", release, map[string]string{"release": "DR-02 A"}, 409, "There is already a release DR-02 A in this book.", ""},
		{"half an insert", "/new/order", "700", order, map[string]string{"quantity": "2,5"}, 422, `The quantity is "2,5": it must be a whole number.`, "quantity"},
		{"no insert at all", "/new/order", "700", order, map[string]string{"quantity": "0"}, 422, "it must be 1 or more", "quantity"},
		{"a mould that is not there", "/new/order", "700", order, map[string]string{"mould": "M999"}, 409, "There is no mould M999 in this book.", ""},
		{"an order that is there", "/new/order", "700", order, map[string]string{"order": "O-1"}, 409, "order O-1 in this book.", ""},
		{"an order that is not there", "/new/insert", "700", insert, map[string]string{"order": "O-77"}, 409, "There is no order O-77 in this book.", ""},
		{"a route that is not there", "/new/insert", "700", insert, map[string]string{"template": "RT-1, version 7"}, 409, "There is no route RT-1 in this book.", ""},
		{"replaces nobody", "/new/insert", "700", insert, map[string]string{"replaces": "I-9999"}, 409, "There is no insert I-9999 in this book.", ""},
		{"a position twice", "/new/furnace", "101", furnace, map[string]string{"positions.3": "T1"}, 422, "Position T1 stands twice.", "positions"},
		{"a position without a zone", "/new/furnace", "101", furnace, map[string]string{"positions.3.zone": ""}, 422, "The zone of the position is missing.", "positions.2.zone"},
		{"a furnace that is there", "/new/furnace", "101", furnace, map[string]string{"furnace": "F2"}, 409, "There is already a furnace F2 in this book.", ""},
		{"a gauge that is there", "/new/gauge", "402", gauge, map[string]string{"gauge": "M-12"}, 409, "There is already a gauge M-12 in this book.", ""},
		{"a layer without the lot that takes over", "/new/release", "101", release, map[string]string{"further_layer": "184"}, 422, "The lot from layer 184 on is missing.", "further.1"},
		{"a lot without the layer at which it takes over", "/new/release", "101", release, map[string]string{"further.1": "L2509-A"}, 422, "The layer from which it takes over is missing.", "further_layer"},
		{"a block read in inches", "/new/check", "402", block, map[string]string{"read": "0.98425"}, 422, "off by a factor of 25.4. Was it read in inches?", "read"},
		{"a limit of nothing", "/new/check", "402", block, map[string]string{"limit": "0"}, 422, "it must be more than zero", "limit"},
		{"a check of no gauge", "/new/check", "402", block, map[string]string{"gauge": "M-99"}, 409, "There is no gauge M-99 in this book.", ""},
		{"a calibration without a day", "/new/calibration", "601", calibration, map[string]string{"due": ""}, 422, "The day on which the next calibration is due is missing.", "due"},
		{"a standard without what was read", "/new/calibration", "601", calibration, map[string]string{"points.2.found": ""}, 422, "What the gauge read too much is missing.", "points.1.found"},
		{"an error below nothing", "/new/gauge", "402", gauge, map[string]string{"error": "-0.004"}, 422, "it cannot be less than zero", "error"},
		{"a time that is none", "/policies", "601", policy, map[string]string{"from": "tomorrow"}, 422, `"tomorrow" is not a time`, "from"},
		{"a gate that is none", "/policies", "601", policy, map[string]string{"gate": "coffee"}, 422, `There is no gate "coffee".`, "gate"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b.TB = t
			values := url.Values{}
			for field, v := range tt.good {
				values[field] = v
			}
			for field, v := range tt.wrong {
				values.Set(field, v)
			}
			before := b.entries()
			p := b.post(tt.badge, b.get(tt.badge, tt.path).mustForm(tt.path), values).says(tt.status, tt.want).linked()
			if after := b.entries(); after != before {
				t.Errorf("the log grew from %d to %d", before, after)
			}
			p.stands(tt.path, values)
			if tt.at != "" && !p.saidAt(tt.at, tt.want) {
				t.Errorf("the sentence does not stand at the field %s", tt.at)
			}
		})
	}
	b.TB = t
}

// stands fails the test unless what was typed is still in the form; empty
// lines of a table may have been closed up.
func (p shownPage) stands(action string, typed url.Values) {
	p.Helper()
	var there []string
	for _, n := range elements(p.mustForm(action), "input", "textarea", "select") {
		there = append(there, valueOf(n))
	}
	for field, v := range typed {
		n := p.mustForm(action)
		inTable := strings.Contains(field, ".")
		switch {
		case attrOf(namedField(p, n, firstLine(field)), "type") == "checkbox" || p.unknownOption(field, v[0]):
		case inTable && !slices.Contains(there, v[0]), !inTable && valueOf(namedField(p, n, field)) != v[0]:
			p.Errorf("%s is not %q any more", field, v[0])
		}
	}
}

func firstLine(field string) string {
	table, _, inTable := strings.Cut(field, ".")
	if !inTable {
		return field
	}
	return table + ".1"
}

// unknownOption reports whether a value is none that a person could choose.
func (p shownPage) unknownOption(field, value string) bool {
	for _, n := range elements(p.doc, "select") {
		if attrOf(n, "name") == field {
			return !slices.ContainsFunc(elements(n, "option"), func(o *html.Node) bool { return attrOf(o, "value") == value })
		}
	}
	return false
}

// saidAt reports whether a sentence stands at a field: in the summary that
// leads there.
func (p shownPage) saidAt(field, sentence string) bool {
	for _, a := range elements(p.doc, "a") {
		if strings.HasSuffix(attrOf(a, "href"), "f-"+field) || strings.HasSuffix(attrOf(a, "href"), "-"+field) {
			if strings.Contains(wordsIn(a), sentence) {
				return true
			}
		}
	}
	return false
}

// TestMakeEach fills in every form: the thing is there once, however often the
// form is sent.
func TestMakeEach(t *testing.T) {
	b := staffed(t)
	for _, tt := range []struct {
		path, badge string
		typed       url.Values
		to          string
		list        string
		want        []string
	}{
		{"/new/lot", "101", url.Values{"lot": {"L2510-A"}, "material": {"HT44 paste"}, "made_on": {"2025-10-01"}, "expires_on": {"2026-03-01"}, "open_life_days": {"30"}}, "/lots/L2510-A", "/lots", []string{"L2510-A", "on test"}},
		{"/new/container?lot=L2510-A", "204", url.Values{"mass": {"2,5001"}, "mass_unit": {"kg"}}, "/containers/L2510-A/01", "/lots/L2510-A", []string{"L2510-A/01", "2 500.1"}},
		{"/new/mould", "501", url.Values{"mould": {"M302"}, "customer": {"K2"}}, "/moulds/M302", "/moulds", []string{"M302", "in the toolroom"}},
		{"/new/machine", "101", url.Values{"machine": {"P2"}, "nozzle": {"0.6"}, "nozzle_unit": {"mm"}}, "/machines", "/machines", []string{"P2", "0.6 mm", "in use"}},
		{"/new/furnace", "101", url.Values{"furnace": {"F3"}, "positions.2": {"T1"}, "positions.2.zone": {"top"}, "positions.2.use": {"insert"}, "positions.5": {"M3"}, "positions.5.zone": {"middle"}, "positions.5.use": {"coupon"}},
			"/furnaces", "/furnaces", []string{"F3", "middle"}},
		{"/new/check", "402", url.Values{"gauge": {"M-12"}, "unit": {"mm"}, "block": {"25.000"}, "read": {"24.994"}, "limit": {"0.004"}}, "/gauges/M-12", "/gauges/M-12", []string{"24.994", "\u22126", "fail", "M-12 read 24.994 mm on a block of 25.000 mm"}},
		{"/new/calibration", "601", url.Values{"gauge": {"M-12"}, "certificate": {"CAL-25-031"}, "verdict": {"fail"}, "unit": {"mm"}, "points.2": {"25"}, "points.2.found": {"+0.024"}, "points.2.left": {"0.001"}}, "/gauges/M-12", "/gauges/M-12",
			[]string{"CAL-25-031", "+0.024", "0.001", "M-12 failed its calibration"}},
		{"/new/gauge", "402", url.Values{"gauge": {"M-15"}, "type": {"micrometer"}, "range": {"1-2 in"}, "resolution": {"0.00005"}, "error": {"0,0002"}, "length_unit": {"in"}}, "/gauges", "/gauges", []string{"M-15", "0.00005 in", "0,0002 in"}},
		{"/new/design", "101", url.Values{"design": {"SF80"}, "revision": {"A"}, "name": {"slide face"}, "material": {"HT44"}, "drawing_unit": {"in"}, "x": {"3.1496"}, "y": {"0.787"}, "z": {"0.709"},
			"layer": {"0.1"}, "layer_unit": {"mm"}, "layers_between_passes": {"5"}, "orientation": {"+Z up"}, "characteristics.3": {"SF80.1"}, "characteristics.3.name": {"length"}, "characteristics.3.axis": {"X"},
			"characteristics.3.quantity": {"length"}, "characteristics.3.nominal": {"3.1496"}, "characteristics.3.upper": {"3.1543"}, "characteristics.3.unit": {"in"}, "characteristics.3.key": {"yes"}, "characteristics.3.how": {"CMM"}},
			"/designs/SF80", "/designs/SF80", []string{"slide face, revision A", "3.1496 × 0.787 × 0.709 in", "SF80.1", "3.1543", "key", "CMM"}},
		{"/new/route", "101", url.Values{"template": {"RT-2"}}, "/routes", "/routes", []string{"RT-2, version 1"}},
		{"/new/order", "700", url.Values{"order": {"O-9"}, "customer": {"K2"}, "design": {"SF80"}, "quantity": {"2"}, "due": {"2025-12-01"}, "unit": {"in"}, "mould": {"M302"}, "remark": {"first of two"}}, "/orders/O-9", "/orders", []string{"O-9", "0 of 2", "M302"}},
		{"/new/release?design=CR40", "101", url.Values{"release": {"DR-09 A"}, "lot": {"L2509-A"}, "machine": {"P2"}, "recipe": {"SR-1340 C"}, "kx": {"1.2019"}, "ky": {"1,2019"}, "kz": {"1.2180"}, "evidence": {"coupons of F1-02"},
			"program": {"CR40-2.pgm"}, "program_sha256": {strings.ToUpper(testProgram)}, "supersedes": {"DR-02 A"}}, "/releases/DR-09%20A", "/releases", []string{"DR-09 A", "waits for a signature", "in force"}},
		{"/new/insert?order=O-9", "700", url.Values{"scratch": {"two dots"}, "template": {"RT-2, version 1"}}, "/inserts/I-0001", "/orders/O-9", []string{"I-0001", "opened", "1 on the route"}},
	} {
		t.Run(tt.path, func(t *testing.T) {
			b.TB = t
			action, _, _ := strings.Cut(tt.path, "?")
			form := b.get(tt.badge, tt.path).says(http.StatusOK).mustForm(action)
			before := b.entries()
			for range 2 {
				if p := b.post(tt.badge, form, tt.typed); p.to != tt.to {
					t.Fatalf("status %d to %q; want %q: %s", p.status, p.to, tt.to, p.text())
				}
			}
			if got := b.entries() - before; got != 1 {
				t.Errorf("sent twice it made %d entries; want 1", got)
			}
			page := b.get("900", tt.list).says(http.StatusOK)
			for _, w := range tt.want {
				if !strings.Contains(plainSpaces(page.text()), w) {
					t.Errorf("%s does not say %q: %s", tt.list, w, page.text())
				}
			}
		})
	}
	b.TB = t
}

// plainSpaces is text with the spaces that do not break as plain ones.
func plainSpaces(text string) string {
	return strings.NewReplacer("\u202f", " ", "\u00a0", " ").Replace(text)
}

// TestScanCodes: what is made gets a scan code that opens it.
func TestScanCodes(t *testing.T) {
	b := staffed(t)
	p := b.post("501", b.get("501", "/new/mould").mustForm("/new/mould"), url.Values{"mould": {"M302"}, "customer": {"K2"}})
	if p.to != "/moulds/M302" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	m, err := b.store.Mould(t.Context(), "M302")
	if err != nil {
		t.Fatal(err)
	}
	b.get("900", "/moulds/M302").says(http.StatusOK, m.Code.Grouped())
	if p := b.get("900", "/t/"+string(m.Code)); p.to != "/moulds/M302" {
		t.Errorf("the code leads to %q; want the mould", p.to)
	}
}

// TestWhoMayMake: forms are for those whose work it is; an auditor sees every
// list and none of them.
func TestWhoMayMake(t *testing.T) {
	b := staffed(t)
	for _, path := range []string{"order", "insert", "design", "release", "lot", "container", "mould", "machine", "furnace", "gauge", "check", "calibration", "route"} {
		b.get("900", "/new/"+path).says(http.StatusForbidden, "An auditor reads and prints, and changes nothing.")
		b.get("311", "/new/"+path).says(http.StatusForbidden)
	}
	for _, path := range []string{"/book", "/orders", "/orders/O-1", "/designs", "/designs/CR40", "/releases", "/releases/DR-02%20A", "/moulds", "/moulds/M301", "/machines", "/furnaces", "/gauges", "/routes", "/policies", "/limits"} {
		p := b.get("900", path).says(http.StatusOK)
		for _, to := range p.links() {
			if strings.HasPrefix(to, "/new/") {
				t.Errorf("%s offers an auditor %s", path, to)
			}
		}
		for _, f := range elements(p.doc, "form") {
			if attrOf(f, "action") != "/sign-out" {
				t.Errorf("%s has a form to %s for an auditor", path, attrOf(f, "action"))
			}
		}
	}
	for _, path := range []string{"/orders/O-99", "/designs/XX", "/releases/DR-99", "/moulds/M999", "/new/insert?order=O-99"} {
		b.get("700", path).says(http.StatusNotFound, "There is no")
	}
}

// TestMoreLines asks for more lines of a table: what was typed stays, and
// nothing is stored or found wrong.
func TestMoreLines(t *testing.T) {
	b := staffed(t)
	form := b.get("101", "/new/furnace").mustForm("/new/furnace")
	before := b.entries()
	p := b.post("101", form, url.Values{"more": {"lines"}, "positions.2": {"T1"}}).says(http.StatusOK).silent("Nothing was stored")
	again := p.mustForm("/new/furnace")
	if got := valueOf(namedField(t, again, "positions.2")); got != "T1" {
		t.Errorf("the line typed comes back as %q; want T1", got)
	}
	namedField(t, again, "positions.12")
	if b.entries() != before {
		t.Error("more lines were recorded")
	}
	for path, table := range map[string]string{"/new/certificate?lot=L2509-A": "lines", "/new/design": "characteristics", "/new/route": "steps", "/new/factor?lot=L2509-A": "lines", "/new/furnace": "positions"} {
		form, _, _ := strings.Cut(path, "?")
		served := b.get("101", path)
		shown := linesOf(served.mustForm(form), table)
		for press := range 2 {
			served = b.post("101", served.mustForm(form), url.Values{"more": {"lines"}}).says(http.StatusOK)
			if got := linesOf(served.mustForm(form), table); got != shown+4*(press+1) {
				t.Errorf("%s has %d lines after press %d, and had %d", path, got, press+1, shown)
			}
		}
	}
	p = b.post("101", again, url.Values{"furnace": {"F9"}, "positions.2.zone": {"top"}, "positions.2.use": {"insert"}})
	if p.to != "/furnaces" {
		t.Errorf("status %d: %s", p.status, p.text())
	}
}

// TestNewRevision starts from the one in force.
func TestNewRevision(t *testing.T) {
	b := staffed(t)
	form := b.get("101", "/new/design?design=CV16").mustForm("/new/design")
	for field, want := range map[string]string{"name": "cavity", "drawing_unit": "in", "x": "1.575", "characteristics.1": "1", "characteristics.1.lower": "1.573", "characteristics.1.unit": "in", "characteristics.2.unit": "HRC", "revision": ""} {
		if got := valueOf(namedField(t, form, field)); got != want {
			t.Errorf("%s is proposed as %q; want %q", field, got, want)
		}
	}
	b.post("101", form, nil).says(http.StatusUnprocessableEntity, "The revision is missing.")
	if p := b.post("101", form, url.Values{"revision": {"C"}, "characteristics.1.upper": {"1.5775"}}); p.to != "/designs/CV16" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("900", "/designs/CV16").says(http.StatusOK, "cavity, revision C", "1.5775", "Revision B")
	b.get("900", "/designs/CV16?revision=B").says(http.StatusOK, "cavity, revision B", "superseded", "1.577")
	if rows := b.get("900", "/designs").rows("Revisions before"); len(rows) != 2 || rows[1][0] != "CV16" || rows[1][2] != "C" || rows[1][6] != "1" {
		t.Errorf("designs: %q", rows)
	}
}

// TestOpenTraveler proposes the next free serial; what is typed stands.
func TestOpenTraveler(t *testing.T) {
	b := staffed(t)
	b.opened("I-0031", "CR40")
	form := b.get("700", "/new/insert?order=O-1").says(http.StatusOK, "CR40 core", "0 and 1 of 3").mustForm("/new/insert")
	if got := valueOf(namedField(t, form, "insert")); got != "I-0032" {
		t.Errorf("the serial is proposed as %q; want I-0032", got)
	}
	b.opened("I-0032", "CR40")
	again := b.post("700", form, nil).says(http.StatusConflict, "insert I-0032 in this book.")
	if p := b.post("700", again.mustForm("/new/insert"), url.Values{"insert": {"X-7"}}); p.to != "/inserts/X-7" {
		t.Fatalf("status %d: %s", p.status, p.text())
	}
	b.get("700", "/new/insert?order=O-1").says(http.StatusOK, "asks for 3 inserts; 0 are made and 3 on the route already")
	b.put("101", shop.DesignReleased{Design: "CR40", Revision: "C", Name: "core", Material: "HT44", DrawingUnit: "mm", X: readingOf("40", "mm"), Y: readingOf("30", "mm"), Z: readingOf("25", "mm"),
		Layer: readingOf("0.1", "mm"), LayersBetweenPasses: 5, Orientation: "+Z up", Characteristics: []shop.Characteristic{{Number: "1", Name: "hardness", Kind: shop.Hardness}}})
	b.post("700", form, url.Values{"insert": {"I-0050"}}).says(http.StatusUnprocessableEntity, "Revision C of CR40 is in force now; this page was made for revision B.")
}

// A figure whose unit was not chosen names the choice that is missing, once; the
// unit of nothing is not asked for.
func TestUnitIsAskedForWhereItIsChosen(t *testing.T) {
	for _, tt := range []struct {
		name  string
		act   act
		typed url.Values
		want  map[string]string
	}{
		{"a fit without anything measured", actFit, url.Values{"mould": {"M301"}, "place": {"C2"}}, nil},
		{"two gaps", actFit, url.Values{"mould": {"M301"}, "place": {"C2"}, "gap_x": {"0.034"}, "gap_y": {"0.02"}}, map[string]string{"unit": "The unit of pocket and gaps is not stated: choose it."}},
		{"a face", actFit, url.Values{"mould": {"M301"}, "place": {"C2"}, "removed.+X": {"0.02"}}, map[string]string{"shim_unit": "The unit of shims and stock is not stated: choose it."}},
		{"a probe", actLayers, url.Values{"from_layer": {"1"}, "to_layer": {"5"}, "probe": {"0.501"}}, map[string]string{"probe_unit": "The unit of the probe is not stated: choose it."}},
		{"a reading", actResult, url.Values{"characteristic": {"1"}, "gauge": {"M-12"}, "purpose": {"inspection"}, "value": {"39.987"}}, map[string]string{"unit": "The unit of the reading is not stated: choose it."}},
	} {
		f := views.Form{Values: tt.typed}
		_, err := tt.act.event(f, "I-0029")
		got := map[string]string{}
		if no, ok := errors.AsType[*shop.Invalid](err); ok {
			for field, why := range no.Fields {
				if strings.Contains(why, "nit") {
					got[field] = why
				}
			}
		}
		if !maps.Equal(got, tt.want) {
			t.Errorf("%s: said %q; want %q", tt.name, got, tt.want)
		}
	}
}
