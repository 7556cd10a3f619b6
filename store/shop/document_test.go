package shop

import (
	"strings"
	"testing"
)

// A name is what is left without the folders of another computer.
func TestDocumentName(t *testing.T) {
	long := strings.Repeat("ä", 300)
	for _, tt := range []struct{ name, sent, want string }{
		{"as it is", "IMG_0417.jpg", "IMG_0417.jpg"},
		{"a folder", "../../outside.txt", "outside.txt"},
		{"a folder of another system", `C:\reports\outside.txt`, "outside.txt"},
		{"both", `a/b\c.png`, "c.png"},
		{"only a folder", "a/", "photo.jpg"},
		{"the folder above", "..", "photo.jpg"},
		{"nothing", "", "photo.jpg"},
		{"spaces", "  ", "photo.jpg"},
		{"hidden", ".hidden", ".hidden"},
		{"ends in a dot", "report .", "report ."},
		{"a control character", "report.csv\x00.png", "report.csv.png"},
		{"a new line", "a\nb.png", "ab.png"},
		{"the line turned round", "gnp.\u202eexe", "gnp.exe"},
		{"letters that are joined", "👩\u200d🔧.jpg", "👩\u200d🔧.jpg"},
		{"broken text", "a\xff.jpg", "a.jpg"},
		{"too long", strings.Repeat("a", 300) + ".csv", strings.Repeat("a", 251) + ".csv"},
		{"too long, of wide letters", long + ".jpg", strings.Repeat("ä", 125) + ".jpg"},
		{"too long without an end", long, strings.Repeat("ä", 127)},
		{"an end that is none", "a." + strings.Repeat("b", 300), "a." + strings.Repeat("b", 253)},
		{"not decoded twice", "%2e%2e%2foutside.txt", "%2e%2e%2foutside.txt"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			got := DocumentName(tt.sent, "image/jpeg")
			if got != tt.want || DocumentName(got, "image/jpeg") != got || len(got) > documentNameLimit {
				t.Errorf("%q becomes %q (%d bytes); want %q", tt.sent, got, len(got), tt.want)
			}
		})
	}
	if got := DocumentName("", "application/pdf"); got != "paper.pdf" {
		t.Errorf("a paper without a name is %q", got)
	}
}

// The SHA-256 of "abc" is the first example of FIPS 180-2, appendix B.1.
func TestDocumentNamed(t *testing.T) {
	if got := DocumentNamed([]byte("abc")); got != "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad" {
		t.Errorf("the SHA-256 of abc is %s", got)
	}
}
