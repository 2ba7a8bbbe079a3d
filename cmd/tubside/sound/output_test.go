//go:build linux

package sound

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"github.com/jfreymuth/pulse/proto"
)

// Headphones are on somebody's ears: they are reported, never turned up. There
// is no server here: a request to one would panic.
func TestHeadphonesAreNotRaised(t *testing.T) {
	for _, port := range []string{"analog-output-headphones", "headset-output", "[Out] Headphones"} {
		var out bytes.Buffer
		h := &helper{out: json.NewEncoder(&out)}
		s := sinkState{sink: proto.GetSinkInfoReply{Mute: true, ActivePortName: port, ChannelVolumes: proto.ChannelVolumes{100}}}
		got, err := h.raise(s)
		if err != nil || !got.sink.Mute || h.owed != nil || out.Len() != 0 {
			t.Errorf("%s: raised: %+v, %v, said %s", port, got.sink, err, out.String())
		}
		if !s.report().Headphones {
			t.Errorf("%s is not reported", port)
		}
	}
}

// What the person is told of an output, worst first.
func TestOutputInWords(t *testing.T) {
	sink := func(mute bool, volume float64, port string) proto.GetSinkInfoReply {
		return proto.GetSinkInfoReply{Mute: mute, ChannelVolumes: proto.ChannelVolumes{0, uint32(volume * norm)}, ActivePortName: port}
	}
	stream := func(mute bool, volume float64) proto.GetSinkInputInfoReply {
		return proto.GetSinkInputInfoReply{Muted: mute, ChannelVolumes: proto.ChannelVolumes{uint32(volume * norm)}}
	}
	for _, c := range []struct {
		state sinkState
		want  string
	}{
		{sinkState{sink(false, 1, "speaker"), stream(false, 1)}, ""},
		{sinkState{sink(false, 0.5, "speaker"), stream(false, 1)}, ""},
		{sinkState{sink(true, 0.1, "headphones"), stream(false, 1)}, "the output is muted"},
		{sinkState{sink(false, 0.25, "speaker"), stream(false, 1)}, "the output is at 25 %"},
		{sinkState{sink(false, 0.7, "speaker"), stream(false, 0.7)}, "the output is at 49 %"},
		{sinkState{sink(false, 1, "speaker"), stream(true, 1)}, "tubside's own volume in the mixer is muted"},
		{sinkState{sink(false, 1, "speaker"), stream(false, 0.2)}, "tubside's own volume in the mixer is at 20 %"},
		{sinkState{sink(false, 1, "headphones"), stream(false, 1)}, "headphones"},
	} {
		if got := c.state.report().problem(); !strings.Contains(got, c.want) || c.want == "" && got != "" {
			t.Errorf("%+v: %q, want %q", c.state.sink, got, c.want)
		}
	}
	if r := (sinkState{}).report(); r.Volume != nil || !math.IsNaN(loudest(nil)) {
		t.Errorf("an output without channels has a volume: %v", r.Volume)
	}
}
