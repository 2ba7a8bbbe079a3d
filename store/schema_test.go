package store

import (
	"errors"
	"os"
	"slices"
	"testing"

	bolt "go.etcd.io/bbolt"

	"fleece.example/tubside/session/must"
)

// errMigration stands for a migration that finds something it cannot bring over.
var errMigration = errors.New("a value without a weight")

// later is the schema with two versions that only this test knows.
func later(ran *[]int, fail bool) []migration {
	step := func(n int) func(*bolt.Tx) error {
		return func(tx *bolt.Tx) error {
			*ran = append(*ran, n)
			_, err := tx.CreateBucket([]byte{'v', byte('0' + n)})
			if fail && n == 4 {
				return errMigration
			}
			return err
		}
	}
	return append(slices.Clone(migrations), migration{"make v3", step(3)}, migration{"make v4", step(4)})
}

func TestMigrationsRunOnceInOrder(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 5)
	checkAndClose(t, s)

	var ran []int
	for range 2 {
		m := must.Get(open(s.Path(), later(&ran, false))).In(t)
		wantEvents(t, m, id, notes(1, 5))
		checkAndClose(t, m)
	}
	if !slices.Equal(ran, []int{3, 4}) {
		t.Errorf("migrations ran: %v", ran)
	}

	content, err := os.ReadFile(s.Path())
	if err != nil {
		t.Fatal(err)
	}
	_, err = Open(s.Path())
	wantSentence(t, err, ErrNewer, s.Path(), "number 4", "up to 2")
	wantUnchanged(t, s.Path(), content)
}

func TestMigrationsOfANewFile(t *testing.T) {
	var ran []int
	s := must.Get(open(t.TempDir()+"/wash.db", later(&ran, false))).In(t)
	defer checkAndClose(t, s)
	if !slices.Equal(ran, []int{3, 4}) {
		t.Errorf("migrations ran: %v", ran)
	}
}

// A migration that fails on its way leaves the old layout, whole and readable.
func TestFailedMigrationChangesNothing(t *testing.T) {
	s := newStore(t)
	id := startDay(t, s, 5)
	checkAndClose(t, s)
	content, err := os.ReadFile(s.Path())
	if err != nil {
		t.Fatal(err)
	}

	var ran []int
	_, err = open(s.Path(), later(&ran, true))
	wantSentence(t, err, ErrDamaged, s.Path(), "left as it is")
	if !errors.Is(err, errMigration) {
		t.Errorf("the cause is lost: %v", err)
	}
	wantUnchanged(t, s.Path(), content)
	wantEvents(t, reopen(t, s.Path()), id, notes(1, 5))
}

func TestOpenWithABucketMissing(t *testing.T) {
	s := newStore(t)
	must.Do(t, s.update(func(c *change) error { return c.tx.DeleteBucket([]byte(fleecesPart)) }))
	must.Do(t, s.Close())
	_, err := Open(s.Path())
	wantSentence(t, err, ErrDamaged, s.Path(), "fleeces")
}
