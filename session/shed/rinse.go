package shed

import (
	"fmt"
	"slices"
)

// RinseTubAt is the tub (index) that is kept for the rinses of batches washed in the others;
// -1 for none.
func (p Plan) RinseTubAt() int {
	if p.RinseTub == "" || len(p.Kit.Tubs) < 2 {
		return -1
	}
	return slices.IndexFunc(p.Kit.Tubs, func(t Tub) bool { return t.ID == p.RinseTub })
}

// RinsesFrom is the first of some steps (index) that may be done in the rinse tub: the rinse
// behind the last wash; -1 for none.
func RinsesFrom(steps []Step) int {
	for i := len(steps) - 1; i > 0; i-- {
		if steps[i-1].HasRelease() {
			if steps[i].Kind.Facts().NoHotter {
				return i
			}
			break
		}
	}
	return -1
}

// checkRinseTub says in a sentence why the rinse tub cannot be one.
func (p Plan) checkRinseTub() error {
	switch {
	case p.RinseTub == "":
	case len(p.Kit.Tubs) < 2:
		return fmt.Errorf("a rinse tub needs another tub to wash in: add one under Kit, or choose none")
	case p.RinseTubAt() < 0:
		return fmt.Errorf("the rinse tub is not in the kit: choose another, or none")
	}
	return nil
}
