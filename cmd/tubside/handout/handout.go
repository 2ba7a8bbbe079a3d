// Package handout gives copies of the record away while the day's screen has it open: the
// file is locked then, and what lies in it may be half of a save. Whoever may enter the
// folder and is the same user connects to a socket there and is sent the whole record as
// it stands at one moment. It cannot be written through it.
//
// What is sent is pieces, each with its length before it; one of no length ends the copy.
// After that comes a sentence, empty if all went well.
package handout

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"sync"
	"time"
)

// socketName is the socket's in the folder of the record.
const socketName = "tubside.sock"

const (
	// takesAtMost is how long one piece may take: a window that hangs is not waited for.
	takesAtMost = 10 * time.Second
	// answersIn is how long a program that is there needs at most to say so.
	answersIn = 2 * time.Second
	// mostPiece and mostText bound what is believed of a length, in bytes.
	mostPiece, mostText = 1 << 30, 1 << 12
	// mostAtOnce is how many are sent a copy at the same time: each copy is held in memory.
	mostAtOnce = 4
)

// ErrNobody is the error of Take where no program hands copies out.
var ErrNobody = errors.New("nobody hands out a copy")

// Serve hands out what write writes to everybody who asks in the folder, until stop is called.
//
// Errors: where the folder or the system takes no socket.
func Serve(folder string, write func(io.Writer) error) (stop func(), err error) {
	l, err := listen(filepath.Join(folder, socketName))
	if err != nil {
		return nil, err
	}
	done := make(chan struct{})
	go func() {
		defer close(done)
		var sending sync.WaitGroup
		defer sending.Wait()
		for free := make(chan struct{}, mostAtOnce); ; {
			free <- struct{}{}
			c, err := l.Accept()
			if err != nil {
				return // closed
			}
			sending.Go(func() {
				send(c, write)
				<-free
			})
		}
	}()
	return func() {
		_ = os.Remove(filepath.Join(folder, socketName)) // a socket without its program answers nobody
		_ = l.Close()
		select {
		case <-done:
		case <-time.After(answersIn):
		}
	}, nil
}

// listen makes the socket where nobody else can reach it, then gives it its place: one of
// a program that was killed goes by that.
func listen(path string) (net.Listener, error) {
	hidden, err := os.MkdirTemp(filepath.Dir(path), ".s")
	if err != nil {
		return nil, err
	}
	defer func() { _ = os.RemoveAll(hidden) }()
	made := filepath.Join(hidden, "s")
	l, err := net.ListenUnix("unix", &net.UnixAddr{Name: made, Net: "unix"})
	if err != nil {
		return nil, err
	}
	l.SetUnlinkOnClose(false)
	err = os.Chmod(made, 0o600)
	if err == nil {
		err = os.Rename(made, path)
	}
	if err != nil {
		return nil, errors.Join(err, l.Close())
	}
	return l, nil
}

// send writes one copy; who asked and went is not waited for.
func send(c net.Conn, write func(io.Writer) error) {
	defer func() { _ = c.Close() }()
	p, text := &pieces{Conn: c}, ""
	if err := write(p); err != nil {
		text = err.Error()
	}
	p.piece(nil)
	p.piece([]byte(text[:min(len(text), mostText)]))
}

// pieces is what one asker is sent.
type pieces struct {
	net.Conn
	gone error // why the asker takes no more
}

func (p *pieces) Write(b []byte) (int, error) {
	if len(b) > mostPiece {
		return 0, fmt.Errorf("%d bytes are too many for a copy", len(b))
	}
	if len(b) > 0 { // a piece of no length would end the copy
		p.piece(b)
	}
	if p.gone != nil {
		return 0, p.gone
	}
	return len(b), nil
}

func (p *pieces) piece(b []byte) {
	if p.gone == nil {
		p.gone = p.SetDeadline(time.Now().Add(takesAtMost))
	}
	for _, part := range [][]byte{binary.BigEndian.AppendUint32(nil, uint32(len(b))), b} {
		if p.gone == nil {
			_, p.gone = p.Conn.Write(part)
		}
	}
}

// Take writes the copy that is handed out in the folder.
//
// Errors: ErrNobody; what the other program says of its record; that it went away.
func Take(folder string, into io.Writer) error {
	c, err := net.DialUnix("unix", nil, &net.UnixAddr{Name: filepath.Join(folder, socketName), Net: "unix"})
	if err != nil {
		return ErrNobody
	}
	defer func() { _ = c.Close() }() // only read
	for {
		n, err := next(c, mostPiece)
		if err == nil && n > 0 {
			_, err = io.CopyN(into, c, n)
		}
		if err != nil {
			return noWhole(err)
		}
		if n == 0 {
			break
		}
	}
	n, err := next(c, mostText)
	if err != nil {
		return noWhole(err)
	}
	text := make([]byte, n)
	if _, err := io.ReadFull(c, text); err != nil {
		return noWhole(err)
	}
	if n > 0 {
		return errors.New(string(text))
	}
	return nil
}

// noWhole says why a copy broke off. The socket's path helps nobody who reads that.
func noWhole(err error) error {
	if op := (*net.OpError)(nil); errors.As(err, &op) {
		err = op.Err
	}
	return fmt.Errorf("the window with the record gave no whole copy: %w", err)
}

// next is the length of the next piece.
func next(c net.Conn, most int64) (int64, error) {
	if err := c.SetDeadline(time.Now().Add(takesAtMost)); err != nil {
		return 0, err
	}
	var head [4]byte
	if _, err := io.ReadFull(c, head[:]); err != nil {
		return 0, err
	}
	n := int64(binary.BigEndian.Uint32(head[:]))
	if n > most {
		return 0, errors.New("what came is no copy")
	}
	return n, nil
}
