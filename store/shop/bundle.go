package shop

// BundleProves says what a sealed proof bundle shows to whoever checks it by a
// key that came another way.
var BundleProves = []string{
	"Each entry in it stands in the shop's log as it is worded there, at that number, and was not changed since the checkpoint was signed.",
	"The entries about its subject are numbered from 1 on without a gap, and nobody took any off, added one or changed one after the shop sealed the bundle.",
	"Held against an older checkpoint that you kept: nothing that the log had then was rewritten or taken out since.",
}

// BundleLeaves says what a proof bundle cannot show.
var BundleLeaves = []string{
	"What was recorded about the subject after the checkpoint is not in it. A newer bundle has it.",
	"How many entries the checkpoint covers about the subject is what the shop's server counted and signed for. If the shop left off the newest ones, it signed a wrong count: a later bundle would then have an entry with a higher number that stands in the log before the checkpoint, and so would the bundle of another thing that the entry is about.",
	"That nothing about the subject stands in the log under another name, and that all numbers were given rightly, is shown only by checking the whole log (sinterbook verify).",
	"That the shop keeps no second log is shown only by comparing its checkpoints with those that others kept.",
	"It says nothing about whether what was recorded is true.",
}
