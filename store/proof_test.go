package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"testing"

	"github.com/transparency-dev/merkle/proof"
	"github.com/transparency-dev/merkle/rfc6962"
	"golang.org/x/mod/sumdb/tlog"

	"sinterbook/store/shop"
)

// Proofs are checked by another implementation of RFC 6962 than the one that
// makes them.
func TestProofsByAnotherHand(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, s *Store) {
		seeded(t, s)
		n := size(t, s)
		roots := make([]tlog.Hash, n+1)
		for at := range n + 1 {
			var err error
			if roots[at], err = s.Root(t.Context(), at); err != nil {
				t.Fatal(err)
			}
		}
		for seq := range n {
			e, err := s.Entry(t.Context(), seq)
			if err != nil {
				t.Fatal(err)
			}
			leaf := rfc6962.DefaultHasher.HashLeaf([]byte(e.Payload))
			for _, at := range []int64{seq + 1, (seq + 1 + n) / 2, n} {
				p, err := s.Inclusion(t.Context(), seq, at)
				if err != nil {
					t.Fatal(err)
				}
				if err := proof.VerifyInclusion(rfc6962.DefaultHasher, uint64(seq), uint64(at), leaf, raw(p), roots[at][:]); err != nil {
					t.Errorf("entry %d in %d: %v", seq, at, err)
				}
				if err := proof.VerifyInclusion(rfc6962.DefaultHasher, uint64(seq), uint64(at), rfc6962.DefaultHasher.HashLeaf([]byte(e.Payload+" ")), raw(p), roots[at][:]); err == nil {
					t.Errorf("another text than that of entry %d passes", seq)
				}
			}
		}
		for old := int64(1); old <= n; old++ {
			for _, at := range []int64{old, (old + n) / 2, n} {
				p, err := s.Consistency(t.Context(), old, at)
				if err != nil {
					t.Fatal(err)
				}
				if err := proof.VerifyConsistency(rfc6962.DefaultHasher, uint64(old), uint64(at), raw(p), roots[old][:], roots[at][:]); err != nil {
					t.Errorf("%d in %d: %v", old, at, err)
				}
				if at > old && proof.VerifyConsistency(rfc6962.DefaultHasher, uint64(old), uint64(at), raw(p), roots[old-1][:], roots[at][:]) == nil {
					t.Errorf("another root than that of %d passes", old)
				}
			}
		}
	})
}

func raw[P ~[]tlog.Hash](p P) [][]byte {
	var out [][]byte
	for _, h := range p {
		out = append(out, bytes.Clone(h[:]))
	}
	return out
}

func TestProofsOfWhatIsNotThere(t *testing.T) {
	t.Parallel()
	s := openAt(t, liteAddress(t), newClock(day))
	seeded(t, s)
	n := size(t, s)
	for name, ask := range map[string]func() error{
		"an entry that is not in the log":    func() error { _, err := s.Inclusion(t.Context(), n, n); return err },
		"an entry before the first":          func() error { _, err := s.Inclusion(t.Context(), -1, n); return err },
		"an entry of a log that is longer":   func() error { _, err := s.Inclusion(t.Context(), 0, n+1); return err },
		"a log from one that is longer":      func() error { _, err := s.Consistency(t.Context(), n, n-1); return err },
		"a log from an empty one":            func() error { _, err := s.Consistency(t.Context(), 0, n); return err },
		"the root of a log that is longer":   func() error { _, err := s.Root(t.Context(), n+1); return err },
		"the root of a log of negative size": func() error { _, err := s.Root(t.Context(), -1); return err },
	} {
		if err := ask(); !errors.Is(err, shop.ErrInvalid) {
			t.Errorf("%s: %v; want a sentence about the number", name, err)
		}
	}
}

// The tree of RFC 6962 section 2.1, written here once more from its text:
// MTH({}) = SHA-256(), a leaf is SHA-256(0x00 || d), and a node of n leaves is
// SHA-256(0x01 || MTH(first k) || MTH(the rest)), where k is the largest power
// of two smaller than n.
func TestTreeHashByItsDefinition(t *testing.T) {
	t.Parallel()
	var leaves [][]byte
	g := newGrowing()
	for n := range 70 {
		got, err := g.root()
		if err != nil {
			t.Fatal(err)
		}
		if want := mth(leaves); !bytes.Equal(got[:], want) {
			t.Fatalf("%d leaves have the root %v, by the definition %x", n, got, want)
		}
		leaf := bytes.Repeat([]byte{byte(n)}, n)
		leaves = append(leaves, leaf)
		if _, _, err := g.add(leaf); err != nil {
			t.Fatal(err)
		}
		if len(g.edge) > 7 {
			t.Fatalf("%d leaves keep %d hashes", n+1, len(g.edge))
		}
	}
}

func mth(d [][]byte) []byte {
	h := sha256.New()
	switch len(d) {
	case 0:
	case 1:
		h.Write([]byte{0})
		h.Write(d[0])
	default:
		k := 1
		for k*2 < len(d) {
			k *= 2
		}
		h.Write([]byte{1})
		h.Write(mth(d[:k]))
		h.Write(mth(d[k:]))
	}
	return h.Sum(nil)
}

// The canonical form against the examples that RFC 8785 prints itself.
func TestCanonicalFormOfTheRFC(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ name, in, want string }{
		// The sample of section 3.2.2, sorted as section 3.2.3 says.
		{"3.2.2", `{
			"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
			"string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
			"literals": [null, true, false]
		}`, `{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`},
		// Section 3.2.3: sorted by UTF-16 code units, so that the smiley,
		// whose first unit is D83D, stands before U+FB33.
		{"3.2.3", `{
			"\u20ac": "Euro Sign",
			"\r": "Carriage Return",
			"\ufb33": "Hebrew Letter Dalet With Dagesh",
			"1": "One",
			"\ud83d\ude00": "Emoji: Grinning Face",
			"\u0080": "Control",
			"\u00f6": "Latin Small Letter O With Diaeresis"
		}`, "{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\u0080\":\"Control\",\"ö\":\"Latin Small Letter O With Diaeresis\",\"€\":\"Euro Sign\",\"😀\":\"Emoji: Grinning Face\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}"},
		// Appendix B: numbers by their IEEE 754 bits, as many as JSON can carry.
		{"B", `[0, -0, 5e-324, -5e-324, 1.7976931348623157e308, -1.7976931348623157e308, 9007199254740992, -9007199254740992, 295147905179352830000,
			9.999999999999997e22, 1e23, 1.0000000000000001e23, 999999999999999700000, 999999999999999900000, 1e21, 9.999999999999997e-7, 0.000001,
			333333333.3333332, 333333333.33333325, 333333333.3333333, 333333333.3333334, 333333333.33333343, -0.0000033333333333333333, 1424953923781206.2]`,
			`[0,0,5e-324,-5e-324,1.7976931348623157e+308,-1.7976931348623157e+308,9007199254740992,-9007199254740992,295147905179352830000,` +
				`9.999999999999997e+22,1e+23,1.0000000000000001e+23,999999999999999700000,999999999999999900000,1e+21,9.999999999999997e-7,0.000001,` +
				`333333333.3333332,333333333.33333325,333333333.3333333,333333333.3333334,333333333.33333343,-0.0000033333333333333333,1424953923781206.2]`},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got, err := canonical(json.RawMessage(tt.in))
			if err != nil || string(got) != tt.want {
				t.Errorf("got  %s (%v)\nwant %s", got, err, tt.want)
			}
		})
	}
}
