package session

import (
	"fmt"

	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/shed"
)

func decideProof(c ProveSound) ([]Event, error) {
	path := measure.CleanText(c.Path, shed.MaxName)
	if c.Heard && path == "" {
		return nil, fmt.Errorf("nothing played, so nothing can have been heard: check the sound again")
	}
	return []Event{SoundChecked{Heard: c.Heard, Path: path}}, nil
}

func applyProof(d *Day, r Recorded, e SoundChecked) {
	d.Sound = SoundProof{At: r.At, Heard: e.Heard, Path: e.Path}
}
