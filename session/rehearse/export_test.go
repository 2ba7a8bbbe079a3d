package rehearse

// PlayFor is Play with another bound.
var PlayFor = play
