package sound

import (
	"errors"
	"os"
	"runtime"
	"sync"
	"syscall"
	"time"
	"unsafe"

	"fleece.example/tubside/cmd/tubside/child"
	"fleece.example/tubside/session"
)

// Flags of PlaySoundW (mmsystem.h).
const (
	sndAsync     = 0x0001
	sndNoDefault = 0x0002 // no ding of the system's own instead
	sndMemory    = 0x0004
	sndLoop      = 0x0008
)

var playSound = syscall.NewLazyDLL("winmm.dll").NewProc("PlaySoundW")

// systemPaths are the ways out: the system's own call, which repeats a sound in
// memory by itself and says nothing of its level.
func systemPaths(Options, *debt) []path {
	return []path{{name: "Windows", start: windowsVoice}}
}

// calls keeps two calls from meeting: each ends the sound of the one before.
var calls sync.Mutex

func windowsVoice(p session.Priority) (*voice, error) {
	if err := playSound.Find(); err != nil {
		return nil, err
	}
	v := newVoice()
	wav := WAV(p)
	done := make(chan struct{})
	go func() {
		defer v.guard()
		ok := make(chan bool, 1)
		go func() {
			defer v.guard()
			calls.Lock()
			defer calls.Unlock()
			if child.IsClosed(done) {
				return
			}
			r, _, _ := playSound.Call(uintptr(unsafe.Pointer(&wav[0])), 0, sndAsync|sndMemory|sndLoop|sndNoDefault)
			ok <- r != 0
		}()
		select {
		case good := <-ok:
			if !good {
				v.die(errors.New("Windows did not play the sound: is there an output device?"))
				return
			}
		case <-done:
			return
		case <-time.After(2500 * time.Millisecond):
			v.die(errors.New("Windows did not begin to play within 2.5 s"))
			return
		}
		beat := time.NewTicker(time.Second)
		defer beat.Stop()
		for {
			v.tell(report{Event: eventState})
			select {
			case <-done:
				return
			case <-beat.C:
			}
		}
	}()
	v.stop = sync.OnceFunc(func() {
		close(done)
		quiet := make(chan struct{})
		go func() {
			defer v.guard()
			defer close(quiet)
			calls.Lock()
			defer calls.Unlock()
			// Nothing follows from its answer.
			_, _, _ = playSound.Call(0, 0, 0)
			runtime.KeepAlive(wav) // it was read until now
		}()
		select {
		case <-quiet:
		case <-time.After(400 * time.Millisecond):
		}
	})
	return v, nil
}

// shrink leaves a pipe as it is: here none can be made smaller.
func shrink(*os.File) {}
