//go:build linux

package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/creack/pty"

	"fleece.example/tubside/session"
	"fleece.example/tubside/session/ledger"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/session/sessiontest"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/store"
)

// filledStore keeps a kit and so many finished days, each the invented day of
// the rehearsal.
func filledStore(b *testing.B, days int, running bool) string {
	b.Helper()
	dir := b.TempDir()
	s := must.Get(store.Open(filepath.Join(dir, fileName))).In(b)
	defer func() {
		must.Do(b, s.Close())
	}()
	must.Do(b, s.SaveKit(shed.DefaultKit()))
	var recs []session.Recorded
	day := must.Get(rehearse.Play(rehearse.Demo(), func(r session.Recorded, _ session.Day) { recs = append(recs, r) })).In(b)
	keep := func(recs []session.Recorded, day session.Day) {
		id := must.Get(s.NewDay()).In(b)
		must.Do(b, s.Append(id, recs, ledger.Summarise(id, day)))
	}
	for range days {
		keep(recs, day)
	}
	if running { // twelve tubs, all soaking, and nothing to do for ten minutes
		p := rehearse.Demo().Plan
		little := p.Batches[0]
		little.RawG = 60
		p.Batches = slices.Repeat([]shed.Batch{little}, 12)
		for i := len(p.Kit.Tubs); i < 12; i++ {
			t := p.Kit.Tubs[0]
			t.ID, t.Name = "", fmt.Sprintf("Tub %d", i+1)
			p.Kit.Tubs = append(p.Kit.Tubs, t)
		}
		now := time.Now().Add(-2 * time.Minute)
		r := sessiontest.StartAt(b, p, now)
		for i := range r.Day.Tubs {
			r.Next(i, i)
		}
		keep(r.Recs, r.Day)
	}
	return dir
}

// manyDays keeps so many days, each ended as soon as it began, in one write.
func manyDays(b *testing.B, n int) string {
	b.Helper()
	began := time.Date(2026, 5, 16, 8, 0, 0, 0, time.UTC)
	plan := rehearse.Demo().Plan
	plan.Batches = plan.Batches[:1]
	r := sessiontest.StartAt(b, plan, began)
	r.Now = began.Add(time.Minute)
	r.Do(session.EndDay{Anyway: true})
	one := filepath.Join(b.TempDir(), fileName)
	s := must.Get(store.Open(one)).In(b)
	id, err := s.NewDay()
	if err == nil {
		err = errors.Join(s.SaveKit(shed.DefaultKit()), s.Append(id, r.Recs, ledger.Summarise(id, r.Day)))
	}
	var head store.Contents
	var days []store.DayContents
	if err == nil {
		err = s.Read(func(c store.Contents) error {
			head = c
			head.Kit, head.LastDay = slices.Clone(c.Kit), uint64(n)
			return nil
		}, func(day store.DayContents) error {
			for i := range day.Events {
				day.Events[i] = slices.Clone(day.Events[i])
			}
			for i := range n {
				var err error
				day.ID = shed.DayID(i + 1)
				if day.Summary, err = json.Marshal(ledger.Summarise(day.ID, r.Day)); err != nil {
					return err
				}
				days = append(days, day)
			}
			return nil
		})
	}
	dir := b.TempDir()
	if err == nil {
		_, err = store.Import(filepath.Join(dir, fileName), head, days, false)
	}
	must.Do(b, errors.Join(err, s.Close()))
	return dir
}

// started is a program in a terminal of 200 by 60 that nobody looks at.
type started struct {
	cmd *exec.Cmd
	tty *os.File
	out chan []byte
}

func startQuiet(b *testing.B, name string, args ...string) *started {
	b.Helper()
	p := &started{cmd: exec.Command(name, args...), out: make(chan []byte, 1024)}
	p.cmd.Env = []string{"TERM=xterm-256color", "LANG=C.UTF-8", "HOME=" + b.TempDir()}
	tty := must.Get(pty.StartWithSize(p.cmd, &pty.Winsize{Rows: 60, Cols: 200})).In(b)
	p.tty = tty
	go func() {
		defer close(p.out)
		for {
			buf := make([]byte, 32<<10)
			n, err := tty.Read(buf)
			if err != nil {
				return
			}
			select {
			case p.out <- buf[:n]:
			default: // nobody waits for a text any more
			}
		}
	}()
	return p
}

// sees waits for a text in what the program writes.
func (p *started) sees(b *testing.B, text string) {
	b.Helper()
	var all []byte
	timeout := time.After(patience)
	for {
		select {
		case part, ok := <-p.out:
			if !ok {
				b.Fatalf("the program ended without %q: %s", text, all)
			}
			if all = append(all, part...); bytes.Contains(all, []byte(text)) {
				return
			}
		case <-timeout:
			b.Fatalf("no %q: %s", text, all)
		}
	}
}

func (p *started) stop() {
	_ = p.cmd.Process.Kill()
	_ = p.cmd.Wait()
	_ = p.tty.Close()
}

// peakMB is the most memory the process has had, MB.
func (p *started) peakMB(b *testing.B) float64 {
	b.Helper()
	text := must.Get(os.ReadFile(fmt.Sprintf("/proc/%d/status", p.cmd.Process.Pid))).In(b)
	for _, l := range bytes.Split(text, []byte("\n")) {
		if f := bytes.Fields(l); len(f) == 3 && string(f[0]) == "VmHWM:" {
			kB := must.Get(strconv.ParseFloat(string(f[1]), 64)).In(b)
			return kB / 1024
		}
	}
	b.Fatal("no VmHWM")
	return 0
}

// cpuMS is the processor time that all threads of the process have used, ms.
func (p *started) cpuMS(b *testing.B) float64 {
	b.Helper()
	tasks, err := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/schedstat", p.cmd.Process.Pid))
	if err != nil || len(tasks) == 0 {
		b.Skip("no schedstat here")
	}
	total := 0.0
	for _, name := range tasks {
		text, err := os.ReadFile(name)
		if err != nil {
			continue // a thread that has just ended
		}
		ns := must.Get(strconv.ParseFloat(string(bytes.Fields(text)[0]), 64)).In(b)
		total += ns / 1e6
	}
	return total
}

// BenchmarkFirstFrame is from the start of the process to the first screen,
// with a thousand finished days in the store; beside it an empty program.
func BenchmarkFirstFrame(b *testing.B) {
	dir, path, empty := filledStore(b, 1000, false), buildAt(b, "."), buildAt(b, "./testdata/empty")
	var ours, its []time.Duration
	peak := 0.0
	b.ResetTimer()
	for range b.N {
		began := time.Now()
		p := startQuiet(b, path, "--data", dir)
		p.sees(b, "Past days")
		ours = append(ours, time.Since(began))
		peak = max(peak, p.peakMB(b))
		p.stop()
		began = time.Now()
		p = startQuiet(b, empty)
		p.sees(b, "empty")
		its = append(its, time.Since(began))
		p.stop()
	}
	slices.Sort(ours)
	slices.Sort(its)
	b.ReportMetric(float64(ours[len(ours)/2].Microseconds())/1000, "ms-median")
	b.ReportMetric(float64(ours[len(ours)/2])/float64(its[len(its)/2]), "x-empty")
	b.ReportMetric(peak, "MB-peak")
}

// BenchmarkStart10000 is from the start to the first screen with ten thousand short
// finished days in the store, beside the same with none.
func BenchmarkStart10000(b *testing.B) {
	many, none, path := manyDays(b, 10000), filledStore(b, 0, false), buildAt(b, ".")
	took := map[string][]time.Duration{}
	b.ResetTimer()
	for range b.N {
		for _, dir := range []string{many, none} {
			began := time.Now()
			p := startQuiet(b, path, "--data", dir)
			p.sees(b, "Past days")
			took[dir] = append(took[dir], time.Since(began))
			p.stop()
		}
	}
	slices.Sort(took[many])
	slices.Sort(took[none])
	b.ReportMetric(float64(took[many][b.N/2].Microseconds())/1000, "ms-median")
	b.ReportMetric(float64(took[many][b.N/2])/float64(took[none][b.N/2]), "x-none")
}

// BenchmarkIdle is a running day with twelve soaking tubs that nobody touches,
// with a thousand days behind it: processor time and memory, beside an empty
// program with the same tick.
func BenchmarkIdle(b *testing.B) {
	dir, path, empty := filledStore(b, 1000, true), buildAt(b, "."), buildAt(b, "./testdata/empty")
	p := startQuiet(b, path, "--data", dir)
	defer p.stop()
	p.sees(b, "still open")
	must.Get(p.tty.WriteString("\r")).In(b)
	p.sees(b, "in this order")
	e := startQuiet(b, empty)
	defer e.stop()
	e.sees(b, "empty")
	time.Sleep(25 * time.Second) // the first copy of the record is made, and the first sentence goes
	b.ResetTimer()
	ours, its := p.cpuMS(b), e.cpuMS(b)
	const watch = 10 * time.Second
	for range b.N {
		time.Sleep(watch)
	}
	ours, its = p.cpuMS(b)-ours, e.cpuMS(b)-its
	whole := float64(b.N) * watch.Seconds() * 10 // ms for one percent
	b.ReportMetric(ours/whole, "percent-cpu")
	b.ReportMetric(ours/its, "x-empty")
	b.ReportMetric(p.peakMB(b), "MB-peak")
}

func buildAt(b *testing.B, dir string) string {
	b.Helper()
	path := filepath.Join(b.TempDir(), "program")
	cmd := exec.Command("go", "build", "-o", path, dir)
	if out, err := cmd.CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	return path
}
