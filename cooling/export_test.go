package cooling

// The correlation that a published example checks.
var NusseltVertical = nusseltVertical
