package sound

import (
	"errors"
	"flag"
	"io"
	"os"
	"testing"
	"time"

	"fleece.example/tubside/session"
)

// The test's own binary is the program's hidden helper, and a few players that
// behave badly.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == HelperName {
		if os.Getenv("TUBSIDE_TEST_HELPER") == "hang" {
			time.Sleep(time.Minute)
		}
		os.Exit(HelperMain(os.Args[2:], os.Stdin, os.Stdout))
	}
	if len(os.Args) > 2 && os.Args[1] == "as-player" {
		if err := asPlayer(os.Args[2]); err != nil {
			os.Exit(1)
		}
	}
	if len(os.Args) > 1 && os.Args[1] == "as-program" { // rings until it is killed
		New(Options{Consent: true, Self: os.Args[0]}).Ring(session.HighPriority)
		time.Sleep(time.Minute)
		os.Exit(1)
	}
	// They wait for sound far more than they work: more at once than there are
	// processors.
	if err := flag.Set("test.parallel", "12"); err != nil {
		panic(err)
	}
	os.Exit(m.Run())
}

// asPlayer takes samples from standard input in real time into a file, as a
// sound device would.
func asPlayer(file string) error {
	out, err := os.Create(file)
	if err != nil {
		return err
	}
	buf := make([]byte, bytesPerSecond/50)
	for began, taken := time.Now(), 0; ; {
		n, err := io.ReadFull(os.Stdin, buf)
		if _, werr := out.Write(buf[:n]); werr != nil || err != nil {
			return errors.Join(werr, err)
		}
		taken += n
		time.Sleep(time.Duration(float64(taken)/bytesPerSecond*float64(time.Second)) - time.Since(began))
	}
}
