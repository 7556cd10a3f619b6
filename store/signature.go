package store

import (
	"encoding/base64"
	"errors"
	"fmt"
	"strings"

	"golang.org/x/mod/sumdb/note"
)

// openStrictly reads the text of a note that is signed by one key, once, and
// written in the one way in which package note writes it: every other byte
// makes another note. what names the note in the sentence that refuses it.
func openStrictly(what, signed, verifier string) (string, error) {
	v, err := note.NewVerifier(verifier)
	if err != nil {
		return "", fmt.Errorf("the verifier key %q cannot be used: %w", verifier, err)
	}
	n, err := note.Open([]byte(signed), note.VerifierList(v))
	if foreign, ok := errors.AsType[*note.UnverifiedNoteError](err); ok {
		s := foreign.Note.UnverifiedSigs[0]
		return "", found("The %s is signed by the key %q, not by the one that you gave, %s+%08x. A shop that changed its key signs by the new one from then on.", what, fmt.Sprintf("%s+%08x", s.Name, s.Hash), v.Name(), v.KeyHash())
	}
	if errors.As(err, new(*note.InvalidSignatureError)) {
		return "", found("The %s was changed: it says that the key %s signed it, and the signature does not fit.", what, v.Name())
	}
	if err != nil {
		return "", found("The %s is not a signed note.", what)
	}
	if len(n.Sigs) != 1 || len(n.UnverifiedSigs) != 0 {
		return "", found("The %s has more than one signature; expected that of the key %s alone.", what, v.Name())
	}
	raw, err := base64.StdEncoding.DecodeString(n.Sigs[0].Base64)
	if err != nil || signed != n.Text+"\n— "+v.Name()+" "+base64.StdEncoding.EncodeToString(raw)+"\n" {
		return "", found("The %s was changed: its signature is not written as signatures are.", what)
	}
	return n.Text, nil
}

// unopened is the text of a note, whoever signed it.
func unopened(signed string) string {
	text, _, _ := strings.Cut(signed, "\n\n")
	return text + "\n"
}
