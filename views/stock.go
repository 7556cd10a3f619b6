package views

import "sinterbook/store/shop"

// Scrap is the form that ends an insert for good.
type Scrap struct {
	Frame
	Insert shop.Insert
	Design shop.Design
	Form   Form
}

// ScrapOf is the address of the form that scraps an insert.
func ScrapOf(insert string) string { return PageOf("insert", insert) + "/scrap" }

// Part is what the insert is, in words.
func (p Scrap) Part() string { return partWords(p.Insert, p.Design) }
