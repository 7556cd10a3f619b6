package store

import (
	"context"
	"encoding/hex"
	"errors"
	"net/url"
	"regexp"
	"strings"
	"unicode/utf8"

	"sinterbook/store/shop"
)

// A Thing is what a scan or a typed number stands for.
type Thing struct {
	Kind    string
	Number  string
	Scanned bool   // named by its scan code, not by its shop number
	Carrier string // on which the insert lies by which it was found; "" where it was found by itself
}

// A Scan is what a scanner read at a station: a thing of the shop, a place on
// one, an action card, or the hash that a machine shows of its program.
type Scan struct {
	Thing        // its Kind is "program" for a hash, "job" for a job header, "" for a card
	Part  string // of the thing: a place in a furnace or a mould, a shelf of an oven
	Card  shop.Card
}

// address is what a QR code of ours says: the address that opens a thing.
var address = regexp.MustCompile(`(?i)^https?://[^/]+/t/(.+)$`)

// Read understands the text of a scan, once what the scanner added was taken
// off. The error is a *shop.Refusal or *shop.Invalid with the sentence for the
// operator: nothing is guessed.
func (s *Store) Read(ctx context.Context, text string) (Scan, error) {
	if !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
		return Scan{}, shop.Wrong("scan", "The scan %q is no text. Scan it again.", text)
	}
	if shop.IsJobHeader(text) {
		h, err := shop.ReadJobHeader(text)
		return Scan{Thing: Thing{Kind: "job", Number: h.ProgramHash, Scanned: true}}, err
	}
	if m := address.FindStringSubmatch(text); m != nil {
		if rest, err := url.PathUnescape(m[1]); err == nil {
			text = rest
		}
	}
	whole, part, _ := strings.Cut(text, "/")
	if code, ok := shop.ParseScanCode(whole); ok {
		if card, ok := shop.CardOf(code); ok && part == "" {
			return Scan{Card: card}, nil
		}
		t, err := s.byCode(ctx, code)
		return Scan{Thing: t, Part: part}, err
	}
	if card, ok := shop.CardNamed(text); ok {
		return Scan{Card: card}, nil
	}
	if hash := strings.ToLower(text); isHash(hash) {
		return Scan{Thing: Thing{Kind: "program", Number: hash, Scanned: true}}, nil
	}
	if name, err := s.recipeNamed(ctx, text); err != nil || name != "" {
		return Scan{Thing: Thing{Kind: "recipe", Number: name}}, err
	}
	t, err := s.Find(ctx, text)
	if errors.Is(err, shop.ErrNotFound) || errors.Is(err, shop.ErrInvalid) {
		err = s.misread(ctx, text, err)
	}
	return Scan{Thing: t}, err
}

// isHash reports whether a text is a SHA-256, as machines show that of a
// program.
func isHash(text string) bool {
	raw, err := hex.DecodeString(text)
	return err == nil && len(raw) == 32
}

// recipeNamed is a recipe with its revision, as its sheet names it; "" where
// there is none.
func (s *Store) recipeNamed(ctx context.Context, text string) (string, error) {
	all, err := s.Recipes(ctx)
	for _, r := range all {
		if strings.EqualFold(r.Name(), text) {
			return r.Name(), nil
		}
	}
	return "", err
}

// misread says more about a text that is nothing in the book, where more can be
// said: a code of which a part is missing, two scans that ran together, a
// keyboard that writes other characters than the scanner meant.
func (s *Store) misread(ctx context.Context, text string, no error) error {
	if shop.ForeignKeys(text) || s.knownOtherwise(ctx, text) {
		return shop.Wrong("scan", "The scan arrived as %q. Scanner and computer use different keyboards, so that other characters come in than stand on the label. Set both to the same keyboard; until then type the code.", text)
	}
	folded := strings.ToUpper(strings.NewReplacer(" ", "", "-", "").Replace(text))
	for n := 10; n+10 <= len(folded); n++ {
		_, first := shop.ParseScanCode(folded[n-10 : n])
		if _, second := shop.ParseScanCode(folded[n : n+10]); first && second {
			return shop.Wrong("scan", "Two scans came as one: %q. Scan one after the other.", text)
		}
	}
	if len(folded) < 5 || len(folded) > 9 || strings.ContainsAny(folded, "%_") {
		return no
	}
	var n int64
	if err := s.db.QueryRowContext(ctx, "SELECT count(*) FROM code WHERE code LIKE $1 OR code LIKE $2", folded+"%", "%"+folded).Scan(&n); err != nil {
		return err
	}
	if n > 0 {
		return shop.Wrong("scan", "%q is only a part of a scan code: %d of its 10 characters. Scan it again.", text, len(folded))
	}
	return no
}

// knownOtherwise reports whether a text is something in the book once it is
// read as a scan that came through another keyboard.
func (s *Store) knownOtherwise(ctx context.Context, text string) bool {
	for _, other := range shop.OtherKeyboard(text) {
		if _, err := s.Find(ctx, other); err == nil && other != text {
			return true
		}
	}
	return false
}

// findable are the kinds of things that a typed number is looked for among.
var findable = []string{"insert", "container", "lot", "coupon", "load", "mould", "order", "release", "design", "carrier", "machine", "furnace", "gauge", "sensor", "setter", "oven", "cutter", "recipe", "station", "person", "hold", "nonconformance", "concession", "permit", "containment"}

// Find reads what was scanned or typed. A scan code with a wrong character is
// refused, never resolved to a neighbour; a shop number is found as people
// write it, in capitals or not. A carrier is found as the insert that lies on
// it, unless it is free.
func (s *Store) Find(ctx context.Context, text string) (Thing, error) {
	if code, ok := shop.ParseScanCode(text); ok {
		return s.byCode(ctx, code)
	}
	for _, kind := range findable {
		table, column, _ := tableOf(kind)
		number, err := one(kind, text, word, s.db.QueryRowContext(ctx, "SELECT "+column+" FROM "+table+" WHERE lower("+column+") = lower($1) ORDER BY id DESC LIMIT 1", text))
		if err == nil {
			return s.carried(ctx, Thing{Kind: kind, Number: number})
		}
		if !errors.Is(err, shop.ErrNotFound) {
			return Thing{}, err
		}
	}
	form, err := one("paper form", text, word, s.db.QueryRowContext(ctx, `SELECT form FROM blank_form WHERE lower(form) = lower($1)
		UNION SELECT form FROM paper_form WHERE lower(form) = lower($1)`, shop.FormIn(text)))
	if err == nil {
		return Thing{Kind: "form", Number: form}, nil
	}
	if !errors.Is(err, shop.ErrNotFound) {
		return Thing{}, err
	}
	if shop.LooksLikeScanCode(text) {
		return Thing{}, shop.Wrong("scan", "The code %q has a wrong character: it was misread or mistyped. Scan it again.", text)
	}
	return Thing{}, &shop.Refusal{Kind: shop.ErrNotFound, Why: "Nothing in this book is called " + text + "."}
}

func (s *Store) byCode(ctx context.Context, code shop.ScanCode) (Thing, error) {
	t, err := one("scan code", code.Grouped(), func(row scanner) (Thing, error) {
		t := Thing{Scanned: true}
		err := row.Scan(&t.Kind, &t.Number)
		return t, err
	}, s.db.QueryRowContext(ctx, "SELECT kind, number FROM code WHERE code = $1", code))
	if err != nil {
		return t, err
	}
	return s.carried(ctx, t)
}

// carried is the insert that lies on a carrier: a green part has no label of
// its own, so its carrier stands for it.
func (s *Store) carried(ctx context.Context, t Thing) (Thing, error) {
	if t.Kind != "carrier" {
		return t, nil
	}
	c, err := s.Carrier(ctx, t.Number)
	if err != nil || c.Insert == "" {
		return t, err
	}
	return Thing{Kind: "insert", Number: c.Insert, Scanned: t.Scanned, Carrier: t.Number}, nil
}
