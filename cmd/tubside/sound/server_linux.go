package sound

import (
	"errors"
	"fmt"
	"io"
	"net"
	"net/netip"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"time"

	"github.com/jfreymuth/pulse/proto"
)

// answersWithin is how long the sound server may take for one answer.
const answersWithin = time.Second

// server is a connection to the sound server, and the stream it plays. It speaks the
// library's protocol alone: the client above that looks names up, and all that asks name
// servers would be 0.24 MB of the program. Where the server goes by a name, paplay finds it.
type server struct {
	proto.Client
	stream  proto.CreatePlaybackStreamReply
	asked   chan int // bytes that it wants next
	started chan struct{}
	lost    atomic.Bool
}

func connect() (*server, error) {
	err := errors.New("there is none")
	for _, place := range places(os.Getenv("PULSE_SERVER"), os.Getenv("XDG_RUNTIME_DIR")) {
		var c net.Conn
		if c, err = dial(place); err != nil {
			continue
		}
		s := &server{asked: make(chan int, 64), started: make(chan struct{}, 1)}
		s.Callback = s.hear
		s.SetTimeout(answersWithin)
		s.Open(c)
		if err = s.greet(); err == nil {
			return s, nil
		}
		_ = c.Close()
	}
	return nil, fmt.Errorf("the sound server does not answer: %w", err)
}

// places is where the sound server may be.
func places(said, runtimeDir string) []net.Addr {
	if said == "" {
		said = filepath.Join(runtimeDir, "pulse", "native")
	}
	var out []net.Addr
	for _, s := range strings.Fields(said) {
		kind, at, _ := strings.Cut(s, ":")
		ip, err := netip.ParseAddrPort(strings.Replace(at, "localhost:", "127.0.0.1:", 1))
		switch {
		case kind == "unix":
			out = append(out, &net.UnixAddr{Name: at, Net: kind})
		case s[0] == '/':
			out = append(out, &net.UnixAddr{Name: s, Net: "unix"})
		case strings.HasPrefix(kind, "tcp") && err == nil:
			out = append(out, net.TCPAddrFromAddrPort(ip))
		}
	}
	return out
}

func dial(place net.Addr) (net.Conn, error) {
	if a, local := place.(*net.UnixAddr); local {
		return net.DialUnix(a.Net, nil, a)
	}
	return net.DialTCP("tcp", nil, place.(*net.TCPAddr))
}

// greet says who we are.
func (s *server) greet() error {
	path := os.Getenv("PULSE_COOKIE")
	if path == "" {
		path = filepath.Join(os.Getenv("HOME"), ".config", "pulse", "cookie")
	}
	cookie, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		cookie, err = make([]byte, 256), nil // a server that lets in anybody takes any
	}
	if err != nil {
		return err
	}
	var its proto.AuthReply
	if err := s.Request(&proto.Auth{Version: s.Version(), Cookie: cookie}, &its); err != nil {
		return err
	}
	s.SetVersion(its.Version)
	return s.Request(&proto.SetClientName{Props: proto.PropList{"application.name": proto.PropListString("tubside")}}, &proto.SetClientNameReply{})
}

// hear takes what the server says unasked.
func (s *server) hear(said any) {
	switch m := said.(type) {
	case *proto.Request:
		s.asked <- int(m.Length)
	case *proto.Started:
		select {
		case s.started <- struct{}{}:
		default:
		}
	case *proto.ConnectionClosed:
		s.lost.Store(true)
	}
}

// play has the server take sound from r as it asks for it, once begin was called.
func (s *server) play(r io.Reader) error {
	bytes := uint32(latencySeconds * bytesPerSecond)
	err := s.Request(&proto.CreatePlaybackStream{
		SampleSpec: proto.SampleSpec{Format: proto.FormatInt16LE, Channels: 1, Rate: Rate}, ChannelMap: proto.ChannelMap{proto.ChannelMono},
		SinkIndex: proto.Undefined, Corked: true, BufferTargetLength: bytes, BufferMaxLength: 2 * bytes, AdjustLatency: true,
		BufferPrebufferLength: proto.Undefined, BufferMinimumRequest: proto.Undefined,
		ChannelVolumes: proto.ChannelVolumes{uint32(proto.VolumeNorm)},
		Properties:     proto.PropList{"media.name": proto.PropListString("alarm")},
	}, &s.stream)
	if err != nil {
		return fmt.Errorf("the sound server takes no stream: %w", err)
	}
	go func() {
		for n := range s.asked {
			b := make([]byte, min(n, int(s.stream.BufferMaxLength)))
			if _, err := io.ReadFull(r, b); err != nil || s.Send(s.stream.StreamIndex, b) != nil {
				return
			}
		}
	}()
	return nil
}

// begin returns when the first of the stream sounds.
func (s *server) begin() {
	_ = s.Request(&proto.FlushPlaybackStream{StreamIndex: s.stream.StreamIndex}, nil)
	s.asked <- int(s.stream.BufferTargetLength)
	_ = s.Request(&proto.CorkPlaybackStream{StreamIndex: s.stream.StreamIndex}, nil)
	<-s.started
}
