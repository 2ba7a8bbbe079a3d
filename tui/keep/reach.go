package keep

import (
	"time"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/coach"
)

// Bell makes an alarm heard. Ring must not block.
type Bell interface{ Ring(session.Priority) }

// Outside is everything by which an alarm reaches a person who is not looking:
// sound, speech, notices, a command of their own. Call and State never wait.
type Outside interface {
	// Call tells which alarms ring now, the most urgent first; none is silence.
	Call(ringing []coach.AlarmCall, standing int, s session.AlarmSettings, now time.Time)
	// Play plays an alarm once, the way it would ring, and says how it went. It
	// waits, and is called away from the screen.
	Play(p session.Priority, s session.AlarmSettings) Played
	State() OutsideState
	// Confirm has the person's word, on this machine, that what these settings switch on
	// may be done here.
	Confirm(s session.AlarmSettings) error
}

// Played is how a sound check went.
type Played struct {
	Path    string // what served; "" if nothing did
	OK      bool   // all of it went out, to an output that is not muted
	Problem string // a sentence; "" if there is none
}

// OutsideState is what works and what does not.
type OutsideState struct {
	Sound    string   // what plays or played last; "" before the first
	Muted    bool     // the output is muted: nothing can be heard
	Problems []string // sentences
	// Unconfirmed is what of the settings nobody has confirmed on this machine: it is not
	// done. The quiet hours are left out, which do nothing.
	Unconfirmed session.AlarmSettings
}

// Silent says that an alarm may not be heard.
func (s OutsideState) Silent() bool { return s.Muted || len(s.Problems) > 0 }

// SetAlarms says how alarms reach the person from now on.
func (k *Keeper) SetAlarms(s session.AlarmSettings) {
	k.mu.Lock()
	k.settings = s
	k.mu.Unlock()
	k.reach()
}

// Alarms is how they reach the person.
func (k *Keeper) Alarms() session.AlarmSettings {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.settings
}

// reach has the bell and those outside told what rings: after Run by a goroutine of
// its own, so that nobody waits should one of them be stuck; before it at once.
func (k *Keeper) reach() {
	k.mu.Lock()
	watched := k.watched
	k.mu.Unlock()
	if watched {
		signal(k.due)
	} else {
		k.tell()
	}
}

// tell tells what rings now; who is told makes out what has changed.
func (k *Keeper) tell() {
	k.telling.Lock()
	defer k.telling.Unlock()
	w := k.whatRings()
	if w.rang && k.with.Bell != nil {
		k.with.Bell.Ring(w.rung)
	}
	if k.with.Outside == nil {
		return
	}
	k.with.Outside.Call(w.calls, w.standing, w.settings, w.now)
	if len(w.calls) > 0 && k.with.Outside.State().Silent() {
		k.mu.Lock()
		k.unheard = true // until a sound check says otherwise
		k.mu.Unlock()
	}
}

// ringing is what there is to tell outside.
type ringing struct {
	now      time.Time
	calls    []coach.AlarmCall
	standing int
	settings session.AlarmSettings
	rung     session.Priority // the bell's, if rang
	rang     bool
}

func (k *Keeper) whatRings() ringing {
	k.mu.Lock()
	defer k.mu.Unlock()
	w := ringing{now: k.Now(), settings: k.settings}
	minute := k.minuteOfDay(w.now)
	if k.day.Running() {
		w.calls, w.standing = coach.Calls(k.day, w.now, k.settings, minute), k.day.Standing()
	}
	if c, ok := k.notSaved(w.now); ok {
		w.calls, w.standing = append([]coach.AlarmCall{c}, w.calls...), w.standing+1
	}
	w.rung, w.rang = k.rung, k.rang && !k.settings.Quiet(minute, k.rung)
	k.rung, k.rang = 0, false
	return w
}

// minuteOfDay is the minute of the person's own day, for quiet hours.
func (k *Keeper) minuteOfDay(now time.Time) int {
	zone := k.with.Local
	if zone == nil {
		zone = time.Local
	}
	local := now.In(zone)
	return local.Hour()*60 + local.Minute()
}

// ring notes that an alarm sounded then; one raised just behind another keeps still.
// It has k.mu.
func (k *Keeper) ring(kind session.AlarmKind, tub int, at time.Time) {
	for _, a := range k.day.Alarms {
		if a.Kind == kind && a.Tub == tub && a.RungAt.Equal(at) {
			k.rung, k.rang = max(k.rung, a.Priority), true
		}
	}
}

// notSavedAfter: what cannot be written for so long rings.
const notSavedAfter = 3 * time.Second

// notSavedAgain is how often it rings until it is heard.
const notSavedAgain = time.Minute

// notSaved is the alarm that cannot be in the journal, because that is what
// fails. It is heard until the next success. It has k.mu.
func (k *Keeper) notSaved(now time.Time) (coach.AlarmCall, bool) {
	_, err := k.saver.status()
	if err == nil {
		k.unsavedAt, k.unsavedHeard = time.Time{}, false
		return coach.AlarmCall{}, false
	}
	if k.unsavedAt.IsZero() {
		k.unsavedAt = now
	}
	if k.unsavedHeard || now.Sub(k.unsavedAt) < notSavedAfter {
		return coach.AlarmCall{}, false
	}
	f := session.NotSaved.Facts()
	return coach.AlarmCall{Tub: -1, Name: "the day", Kind: session.NotSaved, Priority: f.Priority, Level: 1, Rings: 1 + int(now.Sub(k.unsavedAt)/notSavedAgain),
		Words: session.NotSaved.Shown(), Do: f.Do}, true
}

// HearUnsaved answers the alarm of what cannot be saved; false if there is none.
func (k *Keeper) HearUnsaved() bool {
	k.mu.Lock()
	k.unsavedHeard = !k.unsavedAt.IsZero()
	heard := k.unsavedHeard
	k.mu.Unlock()
	k.reach()
	return heard
}

// RangUnheard says that an alarm rang while the sound failed or was muted, and no
// sound check was heard since.
func (k *Keeper) RangUnheard() bool {
	k.mu.Lock()
	defer k.mu.Unlock()
	return k.unheard
}

// Prove keeps a sound check with the running day, or for the one begun next.
func (k *Keeper) Prove(p session.ProveSound, now time.Time) error {
	k.mu.Lock()
	k.unheard = k.unheard && !p.Heard
	k.proof, k.provedAt = p, now
	running := k.day.Running()
	k.mu.Unlock()
	if !running {
		return nil
	}
	return k.run(p, now)
}

// proofKeeps is how long a sound check before the start counts for the day.
const proofKeeps = 2 * time.Hour

// CarryProof gives a day that has just begun the sound check made before it.
func (k *Keeper) CarryProof(now time.Time) error {
	k.mu.Lock()
	p, at := k.proof, k.provedAt
	k.mu.Unlock()
	if at.IsZero() || now.Sub(at) > proofKeeps {
		return nil
	}
	return k.run(p, now)
}
