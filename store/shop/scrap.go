package shop

// InsertScrapped ends an insert. Its serial number is never used again.
type InsertScrapped struct {
	Insert string `json:"insert"`
	Why    string `json:"why"`
}

func (InsertScrapped) Kind() string         { return "insert-scrapped" }
func (e InsertScrapped) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses to scrap without a reason.
func (e InsertScrapped) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("why", e.Why, "The reason for scrapping it")
	return f.Err()
}
