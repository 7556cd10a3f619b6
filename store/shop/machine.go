package shop

// A Machine lays down paste in layers and shapes it.
type Machine struct {
	ID      int64
	Machine string
	Nozzle  Reading
	Code    ScanCode
}

// MachineAdded puts a printer on the floor.
type MachineAdded struct {
	Machine string   `json:"machine"`
	Nozzle  Reading  `json:"nozzle" quantity:"length"` // bore
	Code    ScanCode `json:"code"`
}

func (MachineAdded) Kind() string         { return "machine-added" }
func (e MachineAdded) Subjects() []string { return []string{Subject("machine", e.Machine)} }

// Valid refuses a machine without number or nozzle.
func (e MachineAdded) Valid() error {
	f := Fields{}
	f.Number("machine", e.Machine, "The machine's number")
	f.needPositive("nozzle", e.Nozzle, "The nozzle bore")
	needCode(f, e.Code)
	return f.Err()
}
