package views

// What a signature means is shown beside the PIN that stands for it, and goes
// into the log with it.
const (
	MeaningOfApproval      = "I checked what the factors rest on and what they do to open releases. They come into force."
	MeaningOfConcession    = "I permit the use of these pieces within this scope."
	MeaningOfConcessionEnd = "I withdraw this concession."
	MeaningOfDecision      = "I decide so about these pieces."
	MeaningOfDelivery      = "I deliver this mould with the inserts that are fitted in it."
	MeaningOfFormCheck     = "I compared the form with what was typed in from it."
	MeaningOfHoldLift      = "I lift this hold."
	MeaningOfInstruction   = "I approve this instruction."
	MeaningOfLifting       = "I lift these holds."
	MeaningOfLotChange     = "I compared the factors of both lots. The other lot may take over in this print."
	MeaningOfLotRelease    = "I release this lot for printing."
	MeaningOfPermit        = "I permit this deviation."
	MeaningOfRecipe        = "I release this recipe: it is as it stands in the controller."
	MeaningOfRelease       = "I checked the factors, the program and the limits."
	MeaningOfReleaseEnd    = "I withdraw this release."
	MeaningOfScrap         = "I scrap this insert."
	MeaningOfStock         = "I put this insert to stock."
)

// PIN makes the field in which a signature is given, with what it means.
func (f Form) PIN(meaning string) Field {
	return Field{Form: f.Name, Name: f.named("pin"), Label: "Your PIN", Type: "password", Inputmode: "numeric", Autocomplete: "current-password",
		Wrong: f.Wrong["pin"], Required: true, Hint: "You sign: “" + meaning + "”"}
}
