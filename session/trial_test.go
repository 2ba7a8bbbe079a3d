package session_test
import ("fmt";"testing";"time";"fleece.example/tubside/session")
func TestTrial(t *testing.T) {
	for _, c := range [][2]int{{2,2},{3, 2}, {6, 3},{12,3}, {24, 5},{48,5}} {
		p := manyBatches(c[0], c[1])
		d, _, _ := session.Do(session.Day{}, session.StartDay{Plan: p}, dawn)
		for _, e := range []session.Effort{session.Quick, session.Thorough} {
			at := time.Now()
			tt, err := d.Timetable(dawn, e)
			took := time.Since(at)
			if err != nil { t.Fatal(err) }
			spare, _ := tt.Tightest()
			fmt.Println(c, e, took, "finish", tt.Finish.Sub(dawn), "bound", tt.Bound.Sub(dawn), tt.Proven, fmt.Sprintf("gap %.3f", tt.Gap()), "spare", spare, "late", len(tt.Late()))
		}
	}
}
