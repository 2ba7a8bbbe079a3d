package cooling

import "math"

// The parameters of a series in its vectors and matrices.
const (
	roomAt = iota
	startAt
	rateAt
	seriesParameters
)

type (
	vector [seriesParameters]float64
	matrix [seriesParameters]vector
)

// along is aᵀ·m·b.
func (m *matrix) along(a, b vector) (sum float64) {
	for i := range m {
		for j := range m[i] {
			if a[i] != 0 && b[j] != 0 {
				sum += a[i] * m[i][j] * b[j]
			}
		}
	}
	return sum
}

// covariance is sd²·(JᵀJ)⁻¹ of what is free, 0 elsewhere. J goes through a
// QR decomposition (modified Gram-Schmidt, twice, on columns of unit length):
// JᵀJ itself would lose half of the digits when room and rate are nearly alike.
// ok is false if they are the same to within rounding.
func (s *series) covariance(p projected, sd float64) (cov matrix, ok bool) {
	var free []int
	if s.o.RoomFree {
		free = append(free, roomAt)
	}
	if s.o.StartFree {
		free = append(free, startAt)
	}
	free = append(free, rateAt)

	columns := make([][]float64, len(free))
	for c, which := range free {
		columns[c] = make([]float64, len(s.points))
		for i, r := range s.points {
			at := r.AtMin - s.originM
			switch which {
			case roomAt:
				columns[c][i] = -math.Expm1(-p.rate * at)
			case startAt:
				columns[c][i] = math.Exp(-p.rate * at)
			case rateAt:
				columns[c][i] = (p.roomC - p.startC) * at * math.Exp(-p.rate*at)
			}
		}
	}
	var upper matrix // R, in the order of free
	length := vector{}
	for c, column := range columns {
		length[c] = norm(column)
		if !(length[c] > 0) || math.IsInf(length[c], 1) {
			return cov, false
		}
		scale(column, 1/length[c])
		for range 2 {
			for e := range c {
				dot := 0.0
				for i, x := range column {
					dot += x * columns[e][i]
				}
				upper[e][c] += dot
				for i := range column {
					column[i] -= dot * columns[e][i]
				}
			}
		}
		upper[c][c] = norm(column)
		if upper[c][c] < leastOwnShare {
			return cov, false
		}
		scale(column, 1/upper[c][c])
	}
	// Columns of R⁻¹; the covariance is R⁻¹·R⁻ᵀ, scaled back.
	var inverse matrix
	for c := range free {
		for e := c; e >= 0; e-- {
			sum := 0.0
			if e == c {
				sum = 1
			}
			for k := e + 1; k <= c; k++ {
				sum -= upper[e][k] * inverse[k][c]
			}
			inverse[e][c] = sum / upper[e][e]
		}
	}
	for a, i := range free {
		for b, j := range free {
			sum := 0.0
			for k := range free {
				sum += inverse[a][k] * inverse[b][k]
			}
			cov[i][j] = sd * sd * sum / length[a] / length[b]
		}
	}
	return cov, true
}

// leastOwnShare is how much of a column of J has to be its own, against the
// rounding of the others.
const leastOwnShare = 1e-11

func norm(xs []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		sum += x * x
	}
	return math.Sqrt(sum)
}

func scale(xs []float64, by float64) {
	for i := range xs {
		xs[i] *= by
	}
}
