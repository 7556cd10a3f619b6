package views

import "sinterbook/store/shop"

// cautions name the hazards of each operation in plain words. They give no
// instructions: the safety data sheet, the local code and authorised people do.
var cautions = map[string]string{
	shop.OpRelease: "Plan here how the part will be lifted, and which of its edges are fragile.",
	shop.OpPrint: "Dry paste dust can burn and harms the lungs, most of all when it is brushed, vacuumed or blown: no compressed air. " +
		"Keep steel fines apart from those of light metals, also in the chip tray and the extractor. " +
		"Solvent vapour burns and harms the skin: extraction on, no sparks. Binder can make skin allergic. The cutter turns and is sharp.",
	shop.OpDry: "The oven gives off solvent vapour that can burn: ventilate, no sparks. Its surfaces are hot. Brushing a dry part makes dust that harms the lungs and can burn. " +
		"A green part breaks easily: lift it by its plate.",
	shop.OpSinter: "Furnace gas: hydrogen burns and explodes in air; argon and nitrogen suffocate without warning, and argon collects low down; carbon monoxide is poisonous. " +
		"Never enter or rescue alone. Door, parts and setters are hot and heavy. Purge, leak and interlock checks follow the furnace's own instructions, and only an authorised person opens the door. " +
		"A complete record is never leave to start the furnace.",
	shop.OpTemper:  "The oven, its air and the parts are hot long after the end. Edges are sharp, parts and doors are heavy.",
	shop.OpInspect: "Edges are sharp and the part may still be hot. Penetrant and cleaning solvents burn and irritate: no sparks, no bare skin. Mind your back when lifting.",
	shop.OpFit: "Mould plates weigh hundreds of kilograms: tested tackle only, and never alone. Edges are sharp, the press pinches, grinding dust harms the lungs. " +
		"Cleaning solvents burn and irritate. Welding is hot work and needs its permit.",
	shop.OpDeliver: "A mould is heavy: tested tackle only, and secured for the road. Edges are sharp.",
}

// cautionsEnd says who has the last word. That the book controls no machine
// stands at the foot of every page.
const cautionsEnd = "The safety data sheet, your local code and authorised people come first."

// Caution is what to take care of at an operation; "" where there is nothing.
func Caution(operation string) string { return cautions[operation] }

// CautionsEnd says who has the last word about safety.
func CautionsEnd() string { return cautionsEnd }
