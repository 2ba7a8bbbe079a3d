package cooling_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"fleece.example/tubside/session/must"
)

// reporter is what a test, a benchmark and a property share.
type reporter interface {
	Helper()
	Errorf(format string, args ...any)
}

// near fails unless got is within tolerance of want.
func near(t reporter, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.8g, want %.8g ± %.2g", what, got, want, tolerance)
	}
}

// published reads a table from testdata/published as named columns.
func published(t testing.TB, name string) map[string][]float64 {
	t.Helper()
	file := must.Get(os.Open(filepath.Join("..", "testdata", "published", name))).In(t)
	defer func() { _ = file.Close() }()
	reader := csv.NewReader(file)
	reader.Comment = '#'
	rows := must.Get(reader.ReadAll()).In(t)
	columns := map[string][]float64{}
	for _, row := range rows[1:] {
		for i, text := range row {
			value, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			columns[rows[0][i]] = append(columns[rows[0][i]], value)
		}
	}
	return columns
}
