package store

import (
	"bytes"
	"encoding/json"
	"testing"

	"github.com/google/uuid"
	"github.com/gowebpki/jcs"

	"sinterbook/store/shop"
)

// An entry put together member by member is the text that canonical makes of
// the whole.
func TestTextOfAnEntry(t *testing.T) {
	t.Parallel()
	least := payload{V: 1, ID: uuid.MustParse("0198c5d2-7f8e-7c3a-9b1d-2f4e6a8c0b1d"), Salt: "00ff", Kind: "layers-made", At: "2025-08-20T06:00:00.000000Z",
		Entered: "2025-08-20T06:00:00.000000Z", Zone: "Europe/Vienna", By: "204", N: map[string]int64{}, Body: json.RawMessage(`{"insert":"I-0001"}`)}
	with := func(change func(*payload)) payload {
		p := least
		change(&p)
		return p
	}
	for _, tt := range []struct {
		name string
		p    payload
	}{
		{"no subject", least},
		{"one subject", with(func(p *payload) { p.N = map[string]int64{"insert/I-0001": 12} })},
		{"subjects in another order", with(func(p *payload) { p.N = map[string]int64{"lot/b": 2, "lot/B": 3, "insert/I-0001": 1} })},
		{"subjects beyond ASCII", with(func(p *payload) { p.N = map[string]int64{"lot/\U0001F9F1": 1, "lot/\uFB33": 2, "lot/ä": 3} })},
		{"a quote, a line end and a sign that HTML escapes", with(func(p *payload) { p.Reason, p.Station, p.By = "\"so\"\n", "a<b>&c", `\` })},
		{"not UTF-8", with(func(p *payload) { p.Device = "a\xffb" })},
		{"everything", with(func(p *payload) {
			p.Seq, p.Station, p.Device, p.Meaning, p.Corrects, p.Reason, p.Instruction = 4711, "P1", "tablet", "checked", 17, "slip", "WI-20 B"
			p.Answers = map[string]string{"paste": "ok", "Zone": "ö"}
			p.Scans = []shop.Scanned{{Raw: "\x1dQ1", Is: "lot/L1"}}
			p.Paper, p.Kept = &shop.Paper{Form: "F-1", TypedBy: "204"}, &shop.Kept{}
			p.Missed = []shop.Objection{{Gate: "paste", Why: "dry"}}
		})},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			want, err := canonical(tt.p)
			if err != nil {
				t.Fatal(err)
			}
			if got, err := tt.p.text(); err != nil || string(got) != string(want) {
				t.Errorf("text = %s, %v; want %s", got, err, want)
			}
		})
	}
}

// What is only put into order is what jcs makes of it.
func TestOrderingIsCanonical(t *testing.T) {
	t.Parallel()
	for _, v := range []any{
		nil, true, 17, -3, 0.1, 1e30, 9007199254740993, "", "ä", "a<b", "\u2028", "\x7f", []int{}, []any{}, map[string]int{},
		map[string]any{"b": 1, "a": []any{"x", map[string]any{"z": nil, "y": false}}, "": 2, "a b": 3, "a!": 4, "ab": 5},
		map[string]any{"ö": 1, "\U0001F9F1": 2, "\uFB33": 3, "q\"": 4},
		[]any{[]any{[]any{1, "two"}}, 3},
		shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 5, Dried: shop.MustReading("90", "s"), Remark: "so, \"so\""},
		shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 5, Dried: shop.MustReading("90.5", "s")},
	} {
		raw, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		want, err := jcs.Transform(raw)
		if err != nil { // it takes objects and arrays alone
			raw = []byte("[" + string(raw) + "]")
			if want, err = jcs.Transform(raw); err != nil {
				t.Fatal(err)
			}
		}
		if got, err := canonical(json.RawMessage(raw)); err != nil || string(got) != string(want) {
			t.Errorf("canonical(%s) = %s, %v; want %s", raw, got, err, want)
		}
	}
}

// FuzzOrdering holds the two ways against each other, on any JSON.
func FuzzOrdering(f *testing.F) {
	for _, seed := range []string{`{"b":1,"a":[1,2,{"z":"y","x":null}]}`, `[-0,00,1.0,1e2]`, `{"a":1,"a":2}`, `["\ud800"]`, `{"":{}}`} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var raw bytes.Buffer
		if json.Compact(&raw, []byte(text)) != nil {
			return
		}
		want, err := jcs.Transform(raw.Bytes())
		if err != nil {
			return
		}
		o := ordering{in: raw.Bytes()}
		if o.value() && o.at == raw.Len() && string(o.out) != string(want) {
			t.Errorf("ordering %s gives %s; want %s", raw.String(), o.out, want)
		}
	})
}

func BenchmarkCanonical(b *testing.B) {
	e := shop.LayersMade{Insert: "I-0001", FromLayer: 1, ToLayer: 5, Dried: shop.MustReading("90", "s")}
	for b.Loop() {
		if _, err := canonical(e); err != nil {
			b.Fatal(err)
		}
	}
}
