package timetable

// None stands for "no limit", "no job" and "no tub".
const None = -1

// Class says what gives way first when not every latest time can be kept.
type Class int

const (
	// Hard limits are passed only where nothing else is possible.
	Hard Class = iota
	// Soft limits give way before any hard one does.
	Soft
	// A Wish is weighed against the finish: a second past it counts as WishWeighs of the day.
	Wish
	classes = iota
)

// WishWeighs is our own choice: an hour more for the person is worth twelve minutes more of wet
// fleece that takes no harm, or of a rinse that is too long already, no more.
const WishWeighs = 5

// Task is a piece of work that is not interrupted.
type Task struct {
	Job       int   // index into Problem.Jobs, or None
	Resources []int // what it keeps busy while it runs: indexes below Problem.Resources
	DurS      int   // how long it takes, s
	EarliestS int   // earliest start, s; 0 is now
	LatestS   int   // latest start, s, or None
	LateClass Class // which kind of limit LatestS is
	// Takes is what it takes from the stock: one for each tub, which its job's chooses, one
	// for all, or none.
	Takes []Take
	// Fixed says that it begins at EarliestS, whatever else is: the others go around it. It
	// has no job, no lag, no hold and no latest start.
	Fixed bool
}

// Take is what a task takes from the stock at its start, how much has to be there, and what
// is left at the least, all in seconds of filling.
type Take struct{ NeedS, TakeS, LeftS int }

// from is what a task leaves of a stock.
func (t Take) from(levelS int) int { return max(levelS-t.TakeS, min(levelS, t.LeftS)) }

// Stock is something that fills again by itself at an even pace until it is full, such as
// a tank that is heated; all in seconds of filling. The zero Stock is none.
type Stock struct{ FullS, FirstS int }

// Limits are the shortest and the longest wait of a lag, s; MaxS may be None.
type Limits struct{ MinS, MaxS int }

// Lag ties the start of To to the end of From: it lies at least MinS and at
// most MaxS after it. MinS is never negative.
type Lag struct {
	From, To int // task indexes
	Limits
	Class Class // which kind of limit MaxS is
	// OnS, if not empty, has limits for each tub, which replace Limits when the
	// job of From (or of To, if From's needs no tub) is in that tub.
	OnS []Limits
}

// Hold keeps a resource busy from the start of From to the start of To, or to
// the end of To if To uses the resource itself: a kettle that has boiled is not
// free before its water is poured. From is there for To alone: it has no job, no
// lag to it, and one lag from it, to To.
type Hold struct{ Resource, From, To int }

// Job is a chain of tasks, in the order in which Problem.Tasks lists them. If
// it needs a tub it has one and the same from the start of its first task to
// the end of its last, and a Lag has to lead from each of its tasks to the next.
type Job struct {
	NeedsTub bool
	Tubs     []int // the tubs that will do; empty: any
	Started  bool  // it is in its tub now (Tubs names that one) and holds it from time 0
}

// Problem is what Solve is asked.
type Problem struct {
	Resources int // how many things there are that serve one task at a time
	Tubs      int // how many tubs
	Jobs      []Job
	Tasks     []Task
	Lags      []Lag
	Holds     []Hold
	Stock     Stock
	// WishS, if not empty, has for each task its start in an earlier timetable,
	// or None. The order it stands for is tried first, so that planning a running
	// day again changes little and starts from what is good.
	WishS []int
}

// Late is a limit that a Solution does not keep.
type Late struct {
	Task  int // the task that starts too late
	Lag   int // the lag whose longest wait is passed, or None for Task.LatestS
	ByS   int // by how many seconds, above 0
	Class Class
}

// Solution is a timetable.
type Solution struct {
	Start   []int // start of each task, s
	Tub     []int // tub of each job, or None
	FinishS int   // end of the last task, s
	// BoundS: no timetable that keeps all limits finishes earlier, s.
	BoundS int
	// Proven says that all limits are kept and that FinishS cannot be beaten.
	Proven bool
	Late   []Late // limits not kept, hard ones first
	// Unavoidable says that limits that are no wish cannot all be kept, by whatever timetable.
	Unavoidable bool
}

// Budget is the effort Solve may spend. At least one timetable is built,
// whatever it says.
type Budget struct {
	Places int // task placements: a timetable costs one or more for each task
	Nodes  int // nodes of the exact search, which is for small problems (see Solve)
	Idle   int // placements in a row that find nothing better and end the search; 0: none
}

// cost orders timetables: hard lateness first, then soft, then the finish with the wishes
// passed, as they weigh, then the sum of the jobs' ends.
type cost struct{ hard, soft, wish, finish, sum int }

// worth is the finish with the wishes passed.
func (a cost) worth() int { return a.finish + a.wish }

func (a cost) less(b cost) bool {
	switch {
	case a.hard != b.hard:
		return a.hard < b.hard
	case a.soft != b.soft:
		return a.soft < b.soft
	case a.worth() != b.worth():
		return a.worth() < b.worth()
	}
	return a.sum < b.sum
}

// keeps says that all limits are kept that are no wish.
func (a cost) keeps() bool { return a.hard == 0 && a.soft == 0 }

func (a cost) onTime() bool { return a.keeps() && a.wish == 0 }
