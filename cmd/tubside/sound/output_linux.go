package sound

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/jfreymuth/pulse/proto"
)

// norm is the server's 100 %: the output's own full level, not above it.
const norm = float64(proto.VolumeNorm)

// sinkState is the output our stream goes to, and the stream's own part of it.
type sinkState struct {
	sink   proto.GetSinkInfoReply
	stream proto.GetSinkInputInfoReply
}

// look asks for the output that plays our stream: a person may move it, or
// unplug it, while it plays.
func (h *helper) look() (sinkState, error) {
	var s sinkState
	err := h.server.Request(&proto.GetSinkInputInfo{SinkInputIndex: h.server.stream.SinkInputIndex}, &s.stream)
	if err != nil {
		return s, fmt.Errorf("the sound server lost the stream: %w", err)
	}
	err = h.server.Request(&proto.GetSinkInfo{SinkIndex: s.stream.SinkIndex}, &s.sink)
	if err != nil {
		return s, fmt.Errorf("the sound server lost the output: %w", err)
	}
	return s, nil
}

// volume is the level that goes out, against the output's full level: the
// loudest channel's. The server's figures multiply.
func (s sinkState) volume() float64 {
	return loudest(s.sink.ChannelVolumes) * loudest(s.stream.ChannelVolumes)
}

func loudest(v proto.ChannelVolumes) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	return float64(slices.Max(v)) / norm
}

func (s sinkState) report() report {
	return report{Event: eventState, Muted: s.sink.Mute || s.stream.Muted, Volume: known(s.volume()),
		Own: s.stream.Muted || loudest(s.stream.ChannelVolumes) < lowVolume, Headphones: s.headphones()}
}

// headphones says that the sound goes to somebody's ears: it is never raised.
func (s sinkState) headphones() bool {
	return strings.Contains(strings.ToLower(s.sink.ActivePortName), "headphone") ||
		strings.Contains(strings.ToLower(s.sink.ActivePortName), "headset")
}

// raise turns a muted or low output up, after it has said how it was.
func (h *helper) raise(s sinkState) (sinkState, error) {
	level := loudest(s.sink.ChannelVolumes)
	low := level < lowVolume
	if s.headphones() || !s.sink.Mute && !low || h.owed != nil {
		return s, nil
	}
	o := &output{Sink: s.sink.SinkName, Muted: s.sink.Mute, Volumes: slices.Clone(s.sink.ChannelVolumes)}
	o.SetVolumes = slices.Clone(o.Volumes)
	if low {
		for i, v := range o.Volumes {
			// Between the channels it stays as it was, as far as that goes.
			o.SetVolumes[i] = uint32(alarmVolume * norm)
			if level > 0 {
				o.SetVolumes[i] = uint32(math.Round(float64(v) / level * alarmVolume))
			}
		}
	}
	h.owed = o
	h.say(report{Event: eventRaised, Owed: o})
	name := s.sink.SinkName
	if low {
		if err := h.server.Request(&proto.SetSinkVolume{SinkIndex: proto.Undefined, SinkName: name, ChannelVolumes: o.SetVolumes}, nil); err != nil {
			return s, fmt.Errorf("the output could not be turned up: %w", err)
		}
	}
	if s.sink.Mute {
		if err := h.server.Request(&proto.SetSinkMute{SinkIndex: proto.Undefined, SinkName: name, Mute: false}, nil); err != nil {
			return s, fmt.Errorf("the output could not be unmuted: %w", err)
		}
	}
	return h.look()
}

// putBack sets the output as it was before it was raised. What a person has
// changed since is theirs and stays.
func (h *helper) putBack() {
	o := h.owed
	if o == nil {
		return
	}
	var now proto.GetSinkInfoReply
	err := h.server.Request(&proto.GetSinkInfo{SinkIndex: proto.Undefined, SinkName: o.Sink}, &now)
	if err == nil && o.Muted && !now.Mute {
		err = h.server.Request(&proto.SetSinkMute{SinkIndex: proto.Undefined, SinkName: o.Sink, Mute: true}, nil)
	}
	if err == nil && slices.Equal([]uint32(now.ChannelVolumes), o.SetVolumes) && !slices.Equal(o.Volumes, o.SetVolumes) {
		err = h.server.Request(&proto.SetSinkVolume{SinkIndex: proto.Undefined, SinkName: o.Sink, ChannelVolumes: o.Volumes}, nil)
	}
	if err != nil {
		h.say(report{Event: eventOwed, Problem: fmt.Sprintf("the output could not be put back as it was: %v", err)})
		return
	}
	h.owed = nil
	h.say(report{Event: eventBack})
}
