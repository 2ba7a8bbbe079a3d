// Package shed is what a wash day is made from, before it begins: the kit, fleeces and
// their batches, methods and their steps, the rack, scales, and the plan that puts
// them together.
package shed
