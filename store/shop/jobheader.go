package shop

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// A JobHeader is what a print job says about itself: the program, and the
// factors that the machine was given with it. README.md describes the text.
type JobHeader struct {
	Program     string
	ProgramHash string
	KX, KY, KZ  Reading
	Layers      int
	Unit        string // of the program's lengths: mm or in
}

// JobHeaderMost is how long the text of a job header may be.
const JobHeaderMost = 2000

// jobNames are what a job header says; all of it must be there.
var jobNames = []string{"program", "program_sha256", "kx", "ky", "kz", "layers", "unit"}

// IsJobHeader reports whether the text of a scan wants to be a job header.
func IsJobHeader(text string) bool {
	return strings.Contains(text, "program_sha256") && (strings.Contains(text, "=") || strings.HasPrefix(strings.TrimSpace(plain(text)), "{"))
}

// A jobValue is what stands behind a name, with its line.
type jobValue struct {
	text string
	line int
}

// ReadJobHeader reads a job header: lines of "name = value", also separated by
// semicolons, or one JSON object with the same names. What is wrong is said
// with its line; then nothing of it counts.
func ReadJobHeader(text string) (JobHeader, error) {
	values, err := jobValues(text)
	if err != nil {
		return JobHeader{}, err
	}
	var missing []string
	for _, name := range jobNames {
		if values[name].text == "" {
			missing = append(missing, name)
		}
	}
	if len(missing) > 0 {
		return JobHeader{}, wrongJob(0, "It does not say %s.", Listed(missing))
	}
	return jobOf(values)
}

// plain is a text without what an editor of one system or another puts in: the
// mark of its encoding at the start, and its own line ends.
func plain(text string) string {
	return strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.TrimPrefix(text, "\uFEFF"))
}

func jobValues(text string) (map[string]jobValue, error) {
	switch {
	case len(text) > JobHeaderMost:
		return nil, wrongJob(0, "It is %d bytes long: %d are allowed.", len(text), JobHeaderMost)
	case !utf8.ValidString(text) || strings.ContainsRune(text, 0):
		return nil, wrongJob(0, "It is not plain text: have it saved as plain text, in UTF-8.")
	}
	text = plain(text)
	if strings.HasPrefix(strings.TrimSpace(text), "{") {
		return jobJSON(text)
	}
	values := map[string]jobValue{}
	for n, line := range strings.Split(text, "\n") {
		for part := range strings.SplitSeq(line, ";") {
			part = strings.TrimSpace(part)
			if part == "" || strings.HasPrefix(part, "#") {
				continue
			}
			name, value, ok := strings.Cut(part, "=")
			if !ok {
				return nil, wrongJob(n+1, "It is %q: a line is a name, an equals sign and a value.", short(part))
			}
			if err := noteJob(values, strings.TrimSpace(name), strings.TrimSpace(value), n+1); err != nil {
				return nil, err
			}
		}
	}
	return values, nil
}

// noteJob takes down a value. A name that means nothing here, or stands twice, may
// be a slip of one that matters.
func noteJob(values map[string]jobValue, name, value string, line int) error {
	name = strings.ToLower(name)
	if !slices.Contains(jobNames, name) {
		return wrongJob(line, "It has the name %q: a job header says %s.", short(name), Listed(jobNames))
	}
	if before, twice := values[name]; twice {
		return wrongJob(line, "It says %s once more, after line %d.", name, before.line)
	}
	if value == "" {
		return wrongJob(line, "There is nothing behind %s.", name)
	}
	values[name] = jobValue{value, line}
	return nil
}

// bracesWanted is what a job header that begins with a brace looks like.
const bracesWanted = `A header that begins with { has each name in double quotes, a colon, its value, and a comma before the next name: {"program": "P1.pgm", "kx": 1.2019, …}.`

// jobJSON reads a job header that is one JSON object, whose values are texts or
// numbers. Numbers are kept as they stand.
func jobJSON(text string) (map[string]jobValue, error) {
	d := json.NewDecoder(strings.NewReader(text))
	d.UseNumber()
	line := func() int { return 1 + strings.Count(text[:min(int(d.InputOffset()), len(text))], "\n") }
	values := map[string]jobValue{}
	_, err := d.Token() // the brace it begins with
	for err == nil && d.More() {
		var name, value json.Token
		if name, err = d.Token(); err != nil {
			break
		}
		if value, err = d.Token(); err != nil {
			break
		}
		if err := noteToken(values, name, value, line()); err != nil {
			return nil, err
		}
	}
	if err == nil {
		_, err = d.Token() // the brace it ends with
	}
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return nil, wrongJob(line(), "It has no } at its end.")
	case err != nil:
		return nil, wrongJob(line(), bracesWanted)
	}
	if _, err := d.Token(); err != io.EOF {
		return nil, wrongJob(line(), "There is something behind the } at its end.")
	}
	return values, nil
}

// noteToken takes down a value as JSON has it.
func noteToken(values map[string]jobValue, name, value json.Token, line int) error {
	switch value := value.(type) {
	case string:
		return noteJob(values, fmt.Sprint(name), strings.TrimSpace(value), line)
	case json.Number:
		return noteJob(values, fmt.Sprint(name), value.String(), line)
	}
	return wrongJob(line, "Behind %v belongs one value: a number, or a text in double quotes.", short(fmt.Sprint(name)))
}

// jobOf makes the values of a job header out of their texts.
func jobOf(values map[string]jobValue) (JobHeader, error) {
	h := JobHeader{Program: values["program"].text, ProgramHash: strings.ToLower(values["program_sha256"].text), Unit: values["unit"].text}
	if !isSHA256(h.ProgramHash) {
		return JobHeader{}, wrongJob(values["program_sha256"].line, "The program's SHA-256 must be 64 digits 0-9 and a-f.")
	}
	if h.Unit != "mm" && h.Unit != "in" {
		return JobHeader{}, wrongJob(values["unit"].line, "The unit is %q: the program's lengths are in mm or in.", short(h.Unit))
	}
	for name, into := range map[string]*Reading{"kx": &h.KX, "ky": &h.KY, "kz": &h.KZ} {
		k, err := ParseReading(values[name].text, "1", Ratio)
		if err != nil {
			return JobHeader{}, wrongJob(values[name].line, "For %s: %s", name, err.Error())
		}
		f := Fields{}
		if f.needOversize(name, k, strings.ToUpper(name[1:])); f[name] != "" {
			return JobHeader{}, wrongJob(values[name].line, "%s", f[name])
		}
		*into = k
	}
	n, err := strconv.Atoi(values["layers"].text)
	if err != nil || n < 1 || n > 20000 {
		return JobHeader{}, wrongJob(values["layers"].line, "The number of layers is %q: it must be a whole number from 1 to 20000.", short(values["layers"].text))
	}
	h.Layers = n
	return h, nil
}

// DrawnIn refuses a job header whose lengths are in another unit than the
// drawing of what is printed.
func (h JobHeader) DrawnIn(d Design) error {
	if h.Unit == d.DrawingUnit {
		return nil
	}
	return Wrong("job", "The unit of program %s is %s by the job header; that of the drawing of %s %s is %s. Nothing was filled in: have the program looked at first.", short(h.Program), h.Unit, d.Design, d.Revision, d.DrawingUnit)
}

// wrongJob says what is wrong with a job header, and where; line 0 is all of it.
func wrongJob(line int, format string, args ...any) error {
	where := "The job header was not understood."
	if line > 0 {
		where = fmt.Sprintf("Line %d of the job header was not understood.", line)
	}
	return Wrong("job", "%s", where+" "+fmt.Sprintf(format, args...))
}

// short is a text that can stand within a sentence.
func short(text string) string {
	if utf8.RuneCountInString(text) > 40 {
		return string([]rune(text)[:40]) + "…"
	}
	return text
}
