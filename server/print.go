package server

import (
	"fmt"
	"strings"

	"sinterbook/store/shop"
	"sinterbook/views"
)

var actPrintStart = act{
	name: views.ActPrintStart, operation: shop.OpPrint,
	event: printStarted,
	past:  func(e shop.Event) string { return "Print of " + e.(shop.PrintStarted).Insert + " started" },
	probe: func(p views.Work) shop.Act {
		r := p.Release
		machine := r.Machine
		if m := p.Form.Value("machine"); m != "" {
			machine = m
		}
		return shop.PrintStarted{Insert: p.Insert.Insert, Release: r.Release, Machine: machine, ProgramHash: r.ProgramHash, Carrier: "plate", KX: r.KX, KY: r.KY, KZ: r.KZ, Layers: 1}
	},
}

// printStarted reads the start of a print. The release is the insert's own: a
// person says what the machine shows, not what it should show.
func printStarted(f views.Form, insert string) (shop.Event, error) {
	wrong := shop.Fields{}
	e := shop.PrintStarted{
		Insert: insert, Release: f.Value("release"), Machine: f.Value("machine"), Carrier: strings.TrimSpace(f.Value("carrier")),
		ProgramHash: hexadecimal(f.Value("program_sha256")), Layers: countOf(wrong, &f, "layers", "The number of planned layers"),
		KX: wrong.Read("kx", f.Value("kx"), "1", shop.Ratio), KY: wrong.Read("ky", f.Value("ky"), "1", shop.Ratio), KZ: wrong.Read("kz", f.Value("kz"), "1", shop.Ratio),
		Plate: wrong.Read("plate", f.Value("plate"), "C", shop.Temperature), Room: wrong.Read("room", f.Value("room"), "C", shop.Temperature), Humidity: wrong.Read("humidity", f.Value("humidity"), "%", shop.Percentage),
	}
	return valid(wrong, e)
}

// hexadecimal is a hash as machines write it: some in capitals, some in groups.
func hexadecimal(text string) string {
	return strings.ToLower(strings.Join(strings.Fields(text), ""))
}

var actPaste = act{
	name: views.ActPaste, operation: shop.OpPrint,
	event: func(f views.Form, insert string) (shop.Event, error) {
		wrong := shop.Fields{}
		from, to := layersRead(wrong, f)
		return valid(wrong, shop.PasteDrawn{Container: f.Value("container"), Insert: insert, FromLayer: from, ToLayer: to,
			Drawn: wrong.Read("drawn", f.Value("drawn"), "g", shop.Mass), Purged: wrong.Read("purged", f.Value("purged"), "g", shop.Mass)})
	},
	past: func(e shop.Event) string {
		d := e.(shop.PasteDrawn)
		return fmt.Sprintf("%s drawn from %s for layers %d to %d of %s", d.Drawn, d.Container, d.FromLayer, d.ToLayer, d.Insert)
	},
	probe: func(p views.Work) shop.Act {
		if box := p.Form.Value("container"); box != "" {
			next := 1
			for _, d := range p.Draws {
				if d.CorrectedBy == 0 {
					next = max(next, d.ToLayer+1)
				}
			}
			return shop.PasteDrawn{Container: box, Insert: p.Insert.Insert, FromLayer: next, ToLayer: next, Drawn: shop.MustReading("0.01", "g")}
		}
		return shop.LayersMade{Insert: p.Insert.Insert, FromLayer: 1, ToLayer: 1}
	},
}

var actLayers = act{
	name: views.ActLayers, operation: shop.OpPrint,
	event: func(f views.Form, insert string) (shop.Event, error) {
		wrong := shop.Fields{}
		from, to := layersRead(wrong, f)
		pass := 0
		if f.Value("pass") != "" {
			pass = countOf(wrong, &f, "pass", "The number of the shaping pass")
		}
		return valid(wrong, shop.LayersMade{Insert: insert, FromLayer: from, ToLayer: to,
			Dried: wrong.Read("dried", f.Value("dried"), "s", shop.Duration), Air: wrong.Read("air", f.Value("air"), "C", shop.Temperature),
			Pass: pass, Cutter: strings.TrimSpace(f.Value("cutter")), Cut: wrong.Read("cut", f.Value("cut"), "min", shop.Duration),
			Probe: taken(wrong, &f, "probe", "probe_unit", "The unit of the probe", shop.Length), Remark: f.Value("remark")})
	},
	past: func(e shop.Event) string {
		l := e.(shop.LayersMade)
		return fmt.Sprintf("Layers %d to %d of %s recorded", l.FromLayer, l.ToLayer, l.Insert)
	},
	probe: func(p views.Work) shop.Act { return shop.LayersMade{Insert: p.Insert.Insert, FromLayer: 1, ToLayer: 1} },
}

var actPrintFinish = act{
	name: views.ActPrintFinish, operation: shop.OpPrint,
	event: func(f views.Form, insert string) (shop.Event, error) {
		wrong := shop.Fields{}
		return valid(wrong, shop.PrintFinished{Insert: insert, LayersDone: countOf(wrong, &f, "layers_done", "The number of layers printed"),
			Printed: wrong.Read("printed", f.Value("printed"), "g", shop.Mass), Remark: f.Value("remark")})
	},
	past: func(e shop.Event) string { return "Print of " + e.(shop.PrintFinished).Insert + " finished" },
	probe: func(p views.Work) shop.Act {
		// Where it ends is not typed yet: it got at least as far as its records.
		return shop.PrintFinished{Insert: p.Insert.Insert, LayersDone: max(1, p.Reached()), Printed: shop.MustReading("1", "g")}
	},
}

// printing lists the acts of a print, the one that is due first: paste before
// anything, the end once there is a record of the last layer and of its paste.
func printing(p views.Work, begun bool) []string {
	switch {
	case !begun:
		return []string{views.ActPrintStart}
	case !p.Drawn():
		return []string{views.ActPaste, views.ActLayers}
	case p.Covered() && p.Reached() >= p.Planned():
		return []string{views.ActPrintFinish, views.ActLayers, views.ActPaste}
	}
	return []string{views.ActLayers, views.ActPaste, views.ActPrintFinish}
}

// drawAsTyped is a draw that stands, as its form had it.
func drawAsTyped(p views.Work, seq int64) (words string, values map[string]string) {
	for _, d := range p.Draws {
		if d.Seq == seq {
			return views.DrawWords(d), map[string]string{"container": d.Container, "from_layer": fmt.Sprint(d.FromLayer), "to_layer": fmt.Sprint(d.ToLayer),
				"drawn": d.Drawn.Text, "purged": d.Purged.Text}
		}
	}
	return "", nil
}
