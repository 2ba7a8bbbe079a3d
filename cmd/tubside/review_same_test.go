package main

import (
	"bytes"
	"encoding/json"
	"html"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"fleece.example/tubside/cmd/tubside/page"
	"fleece.example/tubside/session"
	"fleece.example/tubside/session/lookback"
	"fleece.example/tubside/session/measure"
	"fleece.example/tubside/session/must"
	"fleece.example/tubside/session/rehearse"
	"fleece.example/tubside/session/shed"
	"fleece.example/tubside/tui/past"
)

var markup = regexp.MustCompile(`<[^>]*>`)

// TestReviewsSayTheSame: what the JSON has of hands, waits, alarms, findings and advice stands as
// words in the page and in the text.
func TestReviewsSayTheSame(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"slow-day", "forgotten-tub"} {
		text := must.Get(os.ReadFile(filepath.Join("../../testdata/scenarios", name+".json"))).In(t)
		script := must.Get(rehearse.Read(text)).In(t)
		script.Expect = nil
		d := must.Get(rehearse.Play(script, func(session.Recorded, session.Day) {})).In(t)
		for _, u := range []measure.System{measure.Metric, measure.US} {
			sameInAll(t, page.Look{ID: 1, Day: d, Advice: lookback.Advise([]session.Day{d, d, d}), Units: u, Zone: time.UTC, Now: d.LastAt})
		}
	}
}

func sameInAll(t *testing.T, l page.Look) {
	var written, figures bytes.Buffer
	must.Do(t, l.HTML(&written))
	must.Do(t, l.JSON(&figures))
	plain := func(text string) string { return strings.Join(strings.Fields(text), " ") }
	inPage := plain(html.UnescapeString(markup.ReplaceAllString(written.String(), " ")))
	inText := plain(strings.Join(past.PlainReview(1, l.Day, l.Advice, l.Units, l.Zone, l.Now, 4000), "\n"))
	want := func(texts ...string) {
		t.Helper()
		for _, s := range texts {
			for where, all := range map[string]string{"page": inPage, "text": inText} {
				if !strings.Contains(all, plain(s)) {
					t.Errorf("the %s does not say %q", where, s)
				}
			}
		}
	}
	var j struct {
		Findings []struct{ Text string }
		Advice   []struct{ What, Why string }
		Waits    []struct {
			At, Text    string
			Min, ForMin float64
		}
		Hands []struct {
			Act          shed.Action
			PlannedTimes int     `json:"planned_times"`
			PlannedMin   float64 `json:"planned_min"`
			Times        int
			Min          float64
		}
		Alarms  []struct{ Text string }
		Figures struct {
			Alarms, High int
			Hours        float64
			PerHour      float64 `json:"per_hour"`
			Most10       int     `json:"most_in_10_min"`
			InTime       int     `json:"acted_on_in_time"`
			Again        int     `json:"rang_again"`
			Outdone      int     `json:"gave_way"`
			Nothing      int     `json:"nothing_done"`
			StoodMost    int     `json:"stood_at_once"`
			LongestMin   float64 `json:"longest_min"`
		} `json:"alarm_figures"`
	}
	must.Do(t, json.Unmarshal(figures.Bytes(), &j))
	w := lookback.Words{Units: l.Units, Zone: l.Zone}
	for _, f := range j.Findings {
		want(f.Text)
	}
	for _, a := range j.Advice {
		want(a.What + ". " + a.Why)
	}
	for i, x := range j.Waits {
		if at, err := time.Parse(time.RFC3339, x.At); err != nil {
			t.Error(err)
		} else if i < 8 { // of the shorter ones page and text have the sum
			want(w.Clock(at) + " " + x.Text)
		}
	}
	for _, h := range j.Hands {
		want(strings.Join(w.HandsRow(lookback.HandsTiming{Act: h.Act, PlannedTimes: h.PlannedTimes, PlannedMin: h.PlannedMin, Times: h.Times, WasMin: h.Min}), " "))
	}
	for _, a := range j.Alarms {
		want(a.Text)
	}
	f := j.Figures
	perHour := float64(f.Alarms) / f.Hours // in words from what is not rounded yet
	if math.Abs(perHour-f.PerHour) > 0.01 {
		t.Errorf("%g alarms an hour, of %d in %g h", f.PerHour, f.Alarms, f.Hours)
	}
	want(w.Alarms(lookback.AlarmFigures{N: f.Alarms, High: f.High, Hours: f.Hours, PerHour: perHour, Most10: f.Most10, InTime: f.InTime, Again: f.Again,
		Outdone: f.Outdone, Nothing: f.Nothing, StoodMost: f.StoodMost, LongestMin: f.LongestMin})...)
	if len(j.Hands) == 0 || len(j.Alarms) != f.Alarms {
		t.Errorf("%d kinds of deeds, %d alarms of %d", len(j.Hands), len(j.Alarms), f.Alarms)
	}
}
