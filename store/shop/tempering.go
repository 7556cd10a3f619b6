package shop

// TemperingStarted begins an insert's tempering, an optional operation.
type TemperingStarted struct {
	Insert string `json:"insert"`
	Recipe string `json:"recipe"`
	Oven   string `json:"oven"`
}

func (TemperingStarted) Kind() string { return "tempering-started" }
func (e TemperingStarted) Subjects() []string {
	return []string{Subject("insert", e.Insert), Subject("oven", e.Oven)}
}

// Valid refuses tempering without recipe or oven.
func (e TemperingStarted) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	f.Need("recipe", e.Recipe, "The tempering recipe")
	f.Number("oven", e.Oven, "The oven")
	return f.Err()
}

func (TemperingStarted) Operation() string  { return OpTemper }
func (e TemperingStarted) InsertNo() string { return e.Insert }
func (TemperingStarted) Phase() Phase       { return Begin }

// Gates of tempering.
func (TemperingStarted) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder, RecipeIsReleased, NonconformanceClosed}
}

// TemperingFinished ends an insert's tempering.
type TemperingFinished struct {
	Insert string `json:"insert"`
}

func (TemperingFinished) Kind() string         { return "tempering-finished" }
func (e TemperingFinished) Subjects() []string { return []string{Subject("insert", e.Insert)} }

// Valid refuses an event without insert.
func (e TemperingFinished) Valid() error {
	f := Fields{}
	f.Need("insert", e.Insert, "The insert")
	return f.Err()
}

func (TemperingFinished) Operation() string  { return OpTemper }
func (e TemperingFinished) InsertNo() string { return e.Insert }
func (TemperingFinished) Phase() Phase       { return End }

// Gates of the end of tempering.
func (TemperingFinished) Gates() []Gate {
	return []Gate{NotHeld, Authorised, InstructionRead, RouteOrder}
}
