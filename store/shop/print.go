package shop

import (
	"fmt"
	"slices"
)

// A LayerDraw is paste drawn for some layers of an insert, by a record that
// stands.
type LayerDraw struct {
	LayerRun
	Container string
	Drawn     Reading
	By        string
}

// A LayerRun is a run of layers, both ends included.
type LayerRun struct{ FromLayer, ToLayer int }

// String is the run in words, as "layers 41 to 50".
func (r LayerRun) String() string {
	if r.FromLayer == r.ToLayer {
		return fmt.Sprintf("layer %d", r.FromLayer)
	}
	return fmt.Sprintf("layers %d to %d", r.FromLayer, r.ToLayer)
}

// LayerWords are runs of layers in words.
func LayerWords(runs []LayerRun) string {
	var words []string
	for _, r := range runs {
		words = append(words, r.String())
	}
	return Listed(words)
}

// LayerGaps lists the runs from layer 1 to the last one that no run covers.
func LayerGaps(runs []LayerRun, last int) []LayerRun {
	runs = slices.Clone(runs)
	slices.SortFunc(runs, func(a, b LayerRun) int { return a.FromLayer - b.FromLayer })
	var gaps []LayerRun
	next := 1
	for _, r := range append(runs, LayerRun{last + 1, last + 1}) {
		if r.FromLayer > next && next <= last {
			gaps = append(gaps, LayerRun{next, min(r.FromLayer-1, last)})
		}
		next = max(next, r.ToLayer+1)
	}
	return gaps
}

// LayersDrawnOnce asks whether paste was drawn for these layers already: more
// often than not the second record is a slip. A draw that fell off the plate is
// a reason to go on.
var LayersDrawnOnce = Gate{"layers drawn once", "correcting the draw that stands", askDrawnOnce}

func askDrawnOnce(f Facts) string {
	e, _ := f.Event.(PasteDrawn)
	for _, d := range f.Draws {
		if from, to := max(d.FromLayer, e.FromLayer), min(d.ToLayer, e.ToLayer); from <= to {
			return fmt.Sprintf("Paste for %s of %s was drawn already: %s from %s for %s, by %s.", LayerRun{from, to}, e.Insert, d.Drawn, d.Container, d.LayerRun, d.By)
		}
	}
	return ""
}

// LeastPrinted is the least part of the paste drawn that is on the plate at the
// end of a print, in per cent: the rest was cut away in shaping. Common
// practice, no source; the demo's prints keep 87 % of it.
const LeastPrinted = 70

// PrintedAsDrawn asks whether the printed mass can have come from the paste
// that was drawn.
var PrintedAsDrawn = Gate{"printed mass as drawn", "correcting the mass or a draw", askPrinted}

func askPrinted(f Facts) string {
	e, ok := f.Event.(PrintFinished)
	drawn := DrawnMass(f.Draws)
	if !ok || drawn == 0 || e.Printed.Value() >= drawn*LeastPrinted/100 {
		return ""
	}
	return fmt.Sprintf("%s were printed of %s g drawn for %s: less than %d %%. Weigh it again, or correct the draw.", e.Printed, InGrams(drawn), e.Insert, LeastPrinted)
}

// DrawnMass is the mass of some draws together, in grams.
func DrawnMass(draws []LayerDraw) float64 {
	sum := 0.0
	for _, d := range draws {
		sum += d.Drawn.Value()
	}
	return sum
}

// MorePrintedThanDrawn refuses a printed mass that the paste drawn cannot have
// given: one of the two was read or typed wrongly. Where nothing was drawn the
// records are not complete, which a gate says.
func (e PrintFinished) MorePrintedThanDrawn(draws []LayerDraw) error {
	if drawn := DrawnMass(draws); drawn > 0 && e.Printed.Value() > drawn+1e-9 {
		return Wrong("printed", "%s were printed, and only %s g were drawn for %s: one of the two is wrong. Weigh it again, or correct the draw.", e.Printed, InGrams(drawn), e.Insert)
	}
	return nil
}

// PrintStarted begins the print of an insert on a machine. From here on the
// carrier holds the green part's identity.
type PrintStarted struct {
	Insert      string  `json:"insert"`
	Release     string  `json:"release"`
	Machine     string  `json:"machine"`
	ProgramHash string  `json:"program_sha256"` // as read back from the machine
	Carrier     string  `json:"carrier"`
	KX          Reading `json:"kx" quantity:"factor"` // oversize set on the machine
	KY          Reading `json:"ky" quantity:"factor"`
	KZ          Reading `json:"kz" quantity:"factor"`
	Layers      int     `json:"layers"`                         // planned
	Plate       Reading `json:"plate" quantity:"temperature"`   // plate temperature, not taken where not measured
	Room        Reading `json:"room" quantity:"temperature"`    // of the room; same
	Humidity    Reading `json:"humidity" quantity:"percentage"` // relative, of the room; same
	Controller  string  `json:"controller"`                     // version that ran, filled in by the store
}

func (PrintStarted) Kind() string { return "print-started" }
func (e PrintStarted) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("machine", e.Machine), Subject("release", e.Release)}
}

// Valid refuses a print without carrier, layers, program or oversize.
func (e PrintStarted) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("release", e.Release, "The release")
	f.Need("machine", e.Machine, "The machine")
	f.Number("carrier", e.Carrier, "The plate that carries the part")
	if !isSHA256(e.ProgramHash) {
		f.Say("program_sha256", "The program's SHA-256 must be 64 digits 0-9 and a-f, as read from the machine.")
	}
	f.needOversize("kx", e.KX, "X")
	f.needOversize("ky", e.KY, "Y")
	f.needOversize("kz", e.KZ, "Z")
	if e.Layers < 1 || e.Layers > 20000 {
		f.sayCount("layers", "The number of planned layers", e.Layers, 20000)
	}
	if e.Plate.Taken() && (e.Plate.Value() < 0 || e.Plate.Value() > 150) {
		f.Say("plate", "The plate temperature is %s: it must lie from 0 to 150 °C.", e.Plate)
	}
	if e.Room.Taken() && (e.Room.Value() < 0 || e.Room.Value() > 50) {
		f.Say("room", "The room temperature is %s: it must lie from 0 to 50 °C.", e.Room)
	}
	if e.Humidity.Taken() && (e.Humidity.Value() < 0 || e.Humidity.Value() > 100) {
		f.Say("humidity", "The humidity is %s: it must lie from 0 to 100 %%.", e.Humidity)
	}
	return f.Err()
}

func (PrintStarted) Operation() string  { return OpPrint }
func (e PrintStarted) InsertNo() string { return e.Insert }
func (PrintStarted) Phase() Phase       { return Begin }

// Gates of a print.
func (PrintStarted) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, DesignCurrent, ReleaseInForce, ReleaseSignedTwice,
		ReleaseCovers, ProgramHash, OversizeOfRelease, LotReleasedInDate, CompensationOfLot, AxesMeasured, MachineFree, MachineInDate, CutterLife}
}

// LayersMade records layers of a print with what was done between them: how
// long they were dried, and the shaping pass made after the last of them.
type LayersMade struct {
	Insert    string  `json:"insert"`
	FromLayer int     `json:"from_layer"`
	ToLayer   int     `json:"to_layer"`
	Dried     Reading `json:"dried" quantity:"time"`      // drying time after these layers
	Air       Reading `json:"air" quantity:"temperature"` // temperature of the drying air
	Pass      int     `json:"pass"`                       // number of the shaping pass, 0 for none
	Cutter    string  `json:"cutter"`
	Cut       Reading `json:"cut" quantity:"time"`     // time that the cutter cut
	Probe     Reading `json:"probe" quantity:"length"` // probe result after the pass
	Remark    string  `json:"remark"`
}

func (LayersMade) Kind() string         { return "layers-made" }
func (e LayersMade) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses layers in the wrong order and a pass without its cutter.
func (e LayersMade) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.needLayers(e.FromLayer, e.ToLayer)
	f.notNegative("dried", e.Dried, "The drying time")
	if e.Air.Taken() && (e.Air.Value() < 10 || e.Air.Value() > 110) {
		f.Say("air", "The drying air is %s: it must lie from 10 to 110 °C.", e.Air)
	}
	if e.Pass < 0 {
		f.Say("pass", "The shaping pass is %d: passes count up from 1.", e.Pass)
	}
	f.notNegative("cut", e.Cut, "The cutting time")
	if e.Pass > 0 || e.Cut.Taken() {
		f.Need("cutter", e.Cutter, "The cutter that shaped it")
	}
	return f.Err()
}

// needLayers checks a run of layers.
func (f Fields) needLayers(from, to int) {
	if from < 1 {
		f.Say("from_layer", "The first layer is %d: layers count up from 1.", from)
	}
	switch {
	case to < 1:
		f.Say("to_layer", "The last layer is %d: layers count up from 1.", to)
	case to < from:
		f.Say("to_layer", "The layers run from %d to %d: the last cannot come before the first.", from, to)
	}
}

func (LayersMade) Operation() string  { return OpPrint }
func (e LayersMade) InsertNo() string { return e.Insert }
func (LayersMade) Phase() Phase       { return During }

// Gates of recording layers.
func (LayersMade) Gates() []Gate { return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder} }

// PrintFinished ends a print.
type PrintFinished struct {
	Insert     string  `json:"insert"`
	LayersDone int     `json:"layers_done"`
	Printed    Reading `json:"printed" quantity:"mass"` // wet mass on the plate
	Remark     string  `json:"remark"`
}

func (PrintFinished) Kind() string         { return "print-finished" }
func (e PrintFinished) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses a print without mass or layers.
func (e PrintFinished) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	if e.LayersDone < 1 {
		f.sayCount("layers_done", "The number of layers printed", e.LayersDone, 0)
	}
	f.needPositive("printed", e.Printed, "The printed mass")
	return f.Err()
}

func (PrintFinished) Operation() string  { return OpPrint }
func (e PrintFinished) InsertNo() string { return e.Insert }
func (PrintFinished) Phase() Phase       { return End }

// Gates of ending a print.
func (PrintFinished) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, RecordsComplete, PrintedAsDrawn}
}
