package shop

// recorders says whose work it is to record a kind of event. Acts of an
// operation are not here: for them the authorisation of the day counts.
var recorders = map[string][]Role{
	"book-opened": nil, "gate-refused": nil, // written by the store itself
	"key-changed":              {QualityManager},
	"person-added":             {QualityManager},
	"person-changed":           {QualityManager},
	"person-keys-set":          {QualityManager},
	"name-erased":              {QualityManager},
	"person-authorised":        {QualityManager},
	"station-added":            {QualityManager},
	"device-registered":        {QualityManager},
	"policy-set":               {QualityManager},
	"limit-set":                {QualityManager},
	"instruction-released":     {ProcessEngineer, QualityManager},
	"instruction-acknowledged": {ProcessEngineer, PrintOperator, FurnaceOperator, Inspector, Toolmaker, QualityManager, Planner},
	"route-released":           {ProcessEngineer, QualityManager},
	"design-released":          {ProcessEngineer, QualityManager},
	"release-drafted":          {ProcessEngineer},
	"release-signed":           {ProcessEngineer, QualityManager},
	"release-withdrawn":        {ProcessEngineer, QualityManager},
	"order-taken":              {Planner, QualityManager},
	"order-changed":            {Planner, QualityManager},
	"mould-received":           {Planner, Toolmaker, QualityManager},
	"traveler-opened":          {Planner, ProcessEngineer, QualityManager},
	"lot-received":             {ProcessEngineer, QualityManager},
	"lot-released":             {ProcessEngineer, QualityManager},
	"container-received":       {ProcessEngineer, PrintOperator, QualityManager},
	"container-opened":         {ProcessEngineer, PrintOperator},
	"certificate-entered":      {ProcessEngineer, QualityManager},
	"qualification-planned":    {ProcessEngineer, QualityManager},
	"lot-changed":              {ProcessEngineer, QualityManager},
	"factor-set":               {ProcessEngineer},
	"factor-proposed":          {ProcessEngineer, QualityManager},
	"factor-approved":          {ProcessEngineer, QualityManager},
	"factor-proposal-dropped":  {ProcessEngineer, QualityManager},
	"paste-wasted":             {ProcessEngineer, PrintOperator, QualityManager},
	"container-weighed":        {ProcessEngineer, PrintOperator, QualityManager},
	"container-scrapped":       {ProcessEngineer, PrintOperator, QualityManager},
	"container-returned":       {ProcessEngineer, QualityManager},
	"difference-explained":     {ProcessEngineer, QualityManager},
	"coupon-made":              {ProcessEngineer, PrintOperator},
	"coupon-placed":            {FurnaceOperator},
	"coupon-measured":          {ProcessEngineer, PrintOperator, Inspector},
	"machine-added":            {ProcessEngineer, QualityManager},
	"furnace-added":            {ProcessEngineer, QualityManager},
	"gauge-added":              {Inspector, QualityManager},
	"gauge-calibrated":         {Inspector, QualityManager},
	"gauge-checked":            {Inspector, PrintOperator, Toolmaker, QualityManager},
	"sensor-fitted":            {FurnaceOperator, ProcessEngineer, QualityManager},
	"sensor-tested":            {FurnaceOperator, ProcessEngineer, QualityManager},
	"furnace-surveyed":         {FurnaceOperator, ProcessEngineer, QualityManager},
	"furnace-tests-set":        {ProcessEngineer, QualityManager},
	"furnace-test-recorded":    {FurnaceOperator},
	"recipe-released":          {ProcessEngineer, QualityManager},
	"setter-added":             {FurnaceOperator, ProcessEngineer, QualityManager},
	"oven-added":               {ProcessEngineer, QualityManager},
	"carrier-added":            {PrintOperator, ProcessEngineer, QualityManager},
	"carrier-changed":          {PrintOperator, FurnaceOperator},
	"cutter-fitted":            {PrintOperator, ProcessEngineer},
	"cutter-removed":           {PrintOperator, ProcessEngineer},
	"controller-updated":       {ProcessEngineer},
	"machine-checked":          {ProcessEngineer, QualityManager},
	"equipment-serviced":       {ProcessEngineer, PrintOperator, FurnaceOperator, Inspector, QualityManager},
	"load-opened":              {FurnaceOperator},
	"load-taken-out":           {FurnaceOperator},
	"load-closed":              {FurnaceOperator},
	"load-unloaded":            {FurnaceOperator},
	"mould-shipped":            {QualityManager},
	"mould-returned":           {Planner, Toolmaker, QualityManager},
	"insert-returned":          {Planner, Toolmaker, QualityManager},
	"hold-set":                 {ProcessEngineer, PrintOperator, FurnaceOperator, Inspector, Toolmaker, QualityManager, Planner},
	"hold-lifted":              {QualityManager},
	"containment-begun":        {ProcessEngineer, QualityManager},
	"containment-lifted":       {QualityManager},
	"notice-sent":              {QualityManager},
	"notice-answered":          {QualityManager},
	"trace-drilled":            {QualityManager, Planner, ProcessEngineer},
	"forms-issued":             {ProcessEngineer, PrintOperator, FurnaceOperator, Inspector, Toolmaker, QualityManager, Planner},
	"forms-counted":            {ProcessEngineer, PrintOperator, FurnaceOperator, Inspector, Toolmaker, QualityManager, Planner},
	"form-checked":             {ProcessEngineer, PrintOperator, FurnaceOperator, Inspector, Toolmaker, QualityManager, Planner},
	"outage-noted":             {QualityManager, Planner},
	"kept-act-left-out":        {ProcessEngineer, PrintOperator, FurnaceOperator, Inspector, Toolmaker, QualityManager, Planner},
	"document-added":           {ProcessEngineer, PrintOperator, FurnaceOperator, Inspector, Toolmaker, QualityManager, Planner},
	"document-filed":           {ProcessEngineer, PrintOperator, Inspector, QualityManager, Planner},
	"filing-withdrawn":         {ProcessEngineer, QualityManager},
	"nonconformance-raised":    {ProcessEngineer, PrintOperator, FurnaceOperator, Inspector, Toolmaker, QualityManager, Planner},
	"nonconformance-decided":   {QualityManager},
	"nonconformance-cancelled": {QualityManager},
	"step-paused":              {PrintOperator, FurnaceOperator, Inspector, Toolmaker, ProcessEngineer, QualityManager},
	"step-resumed":             {PrintOperator, FurnaceOperator, Inspector, Toolmaker, ProcessEngineer, QualityManager},
	"insert-marked":            {FurnaceOperator, Inspector, Toolmaker},
	"permit-given":             {ProcessEngineer, QualityManager},
	"concession-given":         {QualityManager},
	"concession-withdrawn":     {QualityManager},
	"insert-scrapped":          {PrintOperator, QualityManager},
}

// Recorders lists the roles that may record an event; nil for acts of the
// route, which the authorisation of the day decides.
func Recorders(kind string) []Role { return recorders[kind] }

// MayRecord says, as a Refusal, that it is not this person's work to record
// the event: an auditor records nothing.
func (p Person) MayRecord(e Event) error {
	if keys, own := e.(PersonKeysSet); own && keys.Badge == p.Badge {
		return nil // everyone sets their own, an auditor too
	}
	if p.Has(Auditor) {
		return &Refusal{Kind: ErrForbidden, Why: "An auditor reads and prints, and changes nothing."}
	}
	roles, listed := recorders[e.Kind()]
	if !listed || p.Has(roles...) {
		return nil
	}
	if len(roles) == 0 {
		return &Refusal{Kind: ErrForbidden, Why: "Nobody records this by hand: the book writes it itself."}
	}
	var words []string
	for _, r := range roles {
		words = append(words, "the "+string(r))
	}
	return &Refusal{Kind: ErrForbidden, Why: "Badge " + p.Badge + " may not do this: it is for " + Listed(words) + "."}
}
