package shop

import "slices"

// A Station is a place where records are made, with its tablet.
type Station struct {
	ID        int64
	Station   string // shop number, as PR1
	Name      string
	Operation string // the operation done there
	Equipment string // machine, furnace or oven that stands there, "" for none
	Code      ScanCode
}

// StationAdded puts a station on the floor plan.
type StationAdded struct {
	Station   string   `json:"station"`
	Name      string   `json:"name"`
	Operation string   `json:"operation"`
	Equipment string   `json:"equipment"`
	Code      ScanCode `json:"code"`
}

func (StationAdded) Kind() string         { return "station-added" }
func (e StationAdded) Subjects() []string { return []string{Subject("station", e.Station)} }

// Valid refuses a station without name or for no operation of the route.
func (e StationAdded) Valid() error {
	f := Fields{}
	f.Number("station", e.Station, "The station's number")
	f.Need("name", e.Name, "The station's name")
	if !slices.Contains(Operations, e.Operation) {
		f.Say("operation", "%q is not an operation of the route.", e.Operation)
	}
	needCode(f, e.Code)
	return f.Err()
}

// DeviceRegistered lets a tablet be used at a station. The token that proves
// the device to the service is kept beside the log, as a hash.
type DeviceRegistered struct {
	Device  string `json:"device"`
	Station string `json:"station"`

	Private string `json:"-"` // SHA-256 of the device's token, hexadecimal
}

func (DeviceRegistered) Kind() string         { return "device-registered" }
func (e DeviceRegistered) Subjects() []string { return []string{Subject("station", e.Station)} }

// Valid refuses a device without name or station.
func (e DeviceRegistered) Valid() error {
	f := Fields{}
	f.Number("device", e.Device, "The tablet's name")
	f.Need("station", e.Station, "The station")
	return f.Err()
}
