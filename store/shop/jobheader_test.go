package shop

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

const jobLines = "# written by the office\nprogram = CR40-DR-15A-P1.pgm\nprogram_sha256 = " + programHash + "\nkx = 1.2018\nky = 1.2018\nkz = 1.2182\nlayers = 305\nunit = mm\n"

func TestReadJobHeader(t *testing.T) {
	want := JobHeader{Program: "CR40-DR-15A-P1.pgm", ProgramHash: programHash, KX: times("1.2018"), KY: times("1.2018"), KZ: times("1.2182"), Layers: 305, Unit: "mm"}
	for name, text := range map[string]string{
		"lines":                       jobLines,
		"line ends of another system": strings.ReplaceAll(jobLines, "\n", "\r\n"),
		"a byte order mark":           "\uFEFF" + jobLines,
		"capitals":                    strings.ToUpper(jobLines[:strings.Index(jobLines, "CR40")]) + strings.Replace(jobLines[strings.Index(jobLines, "CR40"):], "kx", "KX", 1),
		"JSON on lines of another system, with a mark": "\uFEFF{\r\n\"program\": \"CR40-DR-15A-P1.pgm\",\r\n\"program_sha256\": \"" + programHash + "\",\r\n\"kx\": 1.2018, \"ky\": 1.2018, \"kz\": 1.2182, \"layers\": 305, \"unit\": \"mm\"\r\n}\r\n",
		"one line": strings.ReplaceAll(jobLines[strings.Index(jobLines, "program ="):], "\n", "; "),
		"JSON":     `{"program": "CR40-DR-15A-P1.pgm", "program_sha256": "` + programHash + `", "kx": 1.2018, "ky": "1.2018", "kz": 1.2182, "layers": 305, "unit": "mm"}`,
	} {
		if got, err := ReadJobHeader(text); err != nil || got != want {
			t.Errorf("%s are read as %+v, %v; want %+v", name, got, err, want)
		}
	}
	h, err := ReadJobHeader(strings.Replace(jobLines, "1.2018", "1.20180", 1))
	if err != nil || h.KX.Text != "1.20180" {
		t.Errorf("kx comes as %q, %v; want as typed", h.KX.Text, err)
	}
}

// TestBadJobHeaders: a sentence with the line, and nothing of it counts.
func TestBadJobHeaders(t *testing.T) {
	change := func(from, to string) string { return strings.Replace(jobLines, from, to, 1) }
	for _, tt := range []struct {
		name, text string
		says       []string
	}{
		{"nothing", "", []string{"It does not say program, program_sha256, kx, ky, kz, layers and unit."}},
		{"a factor missing", change("ky = 1.2018\n", ""), []string{"It does not say ky."}},
		{"no equals sign", change("kx = ", "kx "), []string{"Line 4 of the job header", `"kx 1.2018"`, "an equals sign"}},
		{"a name nobody knows", change("kx", "scale_x"), []string{"Line 4", `"scale_x"`}},
		{"a name twice", change("ky", "kx"), []string{"Line 5", "kx once more, after line 4"}},
		{"nothing behind a name", change("1.2018", ""), []string{"Line 4", "nothing behind kx"}},
		{"a factor that is a word", change("1.2018", "one"), []string{"Line 4", `"one"`}},
		{"a shrinkage for a factor", change("1.2018", "16.79"), []string{"Line 4", "in percent", "1.2018"}},
		{"a factor to two decimals", change("1.2018", "1.20"), []string{"Line 4", "to four decimals"}},
		{"half a hash", change(programHash, programHash[:32]), []string{"Line 3", "64 digits"}},
		{"layers and a half", change("305", "305.5"), []string{"Line 7", "whole number"}},
		{"no layers", change("305", "0"), []string{"Line 7", "whole number"}},
		{"a unit nobody uses", change("= mm", "= cubit"), []string{"Line 8", "mm or in"}},
		{"far too long", jobLines + strings.Repeat("#", JobHeaderMost), []string{"2000 are allowed"}},
		{"no text", "kx = \xff\xfe", []string{"not plain text", "UTF-8"}},
		{"a picture", "\x89PNG\x00", []string{"not plain text"}},
		{"of two bytes a letter", "\xff\xfek\x00x\x00", []string{"not plain text", "UTF-8"}},
		{"JSON cut off", `{"kx": 1.2018,` + "\n" + `"ky": `, []string{"Line 2", "no } at its end"}},
		{"JSON without an end", `{"kx": 1.2018`, []string{"Line 1", "no } at its end"}},
		{"JSON with something behind", `{"kx": 1.2018} {}`, []string{"something behind the } at its end"}},
		{"JSON with a list", `{"kx": [1.2018]}`, []string{"Behind kx belongs one value: a number, or a text in double quotes."}},
		{"JSON without a comma", `{"kx": 1.2018` + "\r\n" + `"ky": 1.2018}`, []string{"Line 2", "in double quotes, a colon, its value, and a comma"}},
		{"JSON with a name that is none", "{kx: 1.2018}", []string{"Line 1", "each name in double quotes"}},
		{"JSON within JSON", `{"job": {"kx": 1.2018}}`, []string{"Behind job belongs one value"}},
		{"JSON with a name twice", `{"kx": 1.2018,` + "\n" + `"kx": 1.2081}`, []string{"Line 2", "kx once more, after line 1"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			h, err := ReadJobHeader(tt.text)
			if !errors.Is(err, ErrInvalid) || h != (JobHeader{}) {
				t.Fatalf("it is read as %+v, %v", h, err)
			}
			says(t, err.Error(), tt.says)
		})
	}
}

// TestIsJobHeader: a header is known in every form in which it can be read.
func TestIsJobHeader(t *testing.T) {
	inBraces := `{"program": "a", "program_sha256": "` + programHash + `"}`
	for text, want := range map[string]bool{jobLines: true, inBraces: true, "\uFEFF" + inBraces: true, " \r\n" + inBraces: true, "\uFEFF" + jobLines: true, programHash: false, "program_sha256": false, "L2509-A": false} {
		if IsJobHeader(text) != want {
			t.Errorf("%q is taken for a job header: %v; want %v", text, !want, want)
		}
	}
}

// FuzzJobHeader: whatever comes is read or refused with a whole sentence; what
// is read can be given to a print. An editor's mark at the start and line ends of
// another system change nothing.
func FuzzJobHeader(f *testing.F) {
	f.Add(jobLines)
	f.Add(`{"program": "a", "program_sha256": "` + programHash + `", "kx": 1.2018, "ky": "1.2018", "kz": 1.2182, "layers": 305, "unit": "mm"}`)
	f.Add("kx = 1.2018; ky = \x00")
	f.Add(`{"kx": 1e400`)
	f.Add("\uFEFF{\r\n\"kx\": 1.2018,\r\n\"kx\"}")
	f.Fuzz(func(t *testing.T, text string) {
		h, err := ReadJobHeader(text)
		if other := "\uFEFF" + strings.ReplaceAll(text, "\n", "\r\n"); len(other) <= JobHeaderMost && !strings.HasPrefix(text, "\uFEFF") {
			if g, no := ReadJobHeader(other); g != h || fmt.Sprint(no) != fmt.Sprint(err) {
				t.Errorf("it is read as %+v, %v, and with other line ends as %+v, %v", h, err, g, no)
			}
		}
		if err != nil {
			if h != (JobHeader{}) || !errors.Is(err, ErrInvalid) || !strings.HasSuffix(err.Error(), ".") {
				t.Errorf("refused with %q, and %+v is left", err, h)
			}
			return
		}
		if h.KX.Value() < leastOversize || h.KZ.Value() > mostOversize || h.Layers < 1 || !isSHA256(h.ProgramHash) || h.Unit != "mm" && h.Unit != "in" {
			t.Errorf("it is read as %+v", h)
		}
	})
}
