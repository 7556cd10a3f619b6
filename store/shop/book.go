package shop

import "time"

// BookOpened is the first entry of every book.
type BookOpened struct {
	Site     string `json:"site"`
	Zone     string `json:"zone"`     // IANA name of the shop's time zone
	Verifier string `json:"verifier"` // key that checks this book's checkpoints
}

func (BookOpened) Kind() string       { return "book-opened" }
func (BookOpened) Subjects() []string { return []string{Subject("book", "1")} }

// Valid refuses a book without a site, or in a zone that is not known.
func (e BookOpened) Valid() error {
	f := Fields{}
	f.Need("site", e.Site, "The name of the site")
	if _, err := time.LoadLocation(e.Zone); err != nil || e.Zone == "" || e.Zone == "Local" {
		f.Say("zone", "%q is not a time zone: name one like Europe/Vienna.", e.Zone)
	}
	f.Need("verifier", e.Verifier, "The verifier key")
	return f.Err()
}

// KeyChanged says that checkpoints are signed with another key from here on.
type KeyChanged struct {
	Verifier string `json:"verifier"`
}

func (KeyChanged) Kind() string       { return "key-changed" }
func (KeyChanged) Subjects() []string { return []string{Subject("book", "1")} }

// Valid refuses an empty key.
func (e KeyChanged) Valid() error {
	f := Fields{}
	f.Need("verifier", e.Verifier, "The verifier key")
	return f.Err()
}
