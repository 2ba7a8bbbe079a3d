package cooling

// The correlation that a published example checks.
var NusseltVertical = nusseltVertical

// Checked against an independent distribution.
var StudentNinetyFive = studentNinetyFive
