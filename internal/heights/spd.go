package heights

import "math"

// factor replaces a, n × n and symmetric positive definite, by its Cholesky
// factor in the lower triangle and returns ln det; false where a is not. The
// matrices of a fret are small, where a library's blocks cost more than the sum.
func factor(a []float64, n int) (logDet float64, ok bool) {
	product := 1.0
	for i := range n {
		row := a[i*n : i*n+n]
		for j := 0; j <= i; j++ {
			s := row[j]
			other := a[j*n : j*n+n]
			for k := range j {
				s -= row[k] * other[k]
			}
			if i != j {
				row[j] = s / other[j]
				continue
			}
			if !(s > 0) {
				return 0, false
			}
			row[i] = math.Sqrt(s)
			if product *= s; product < 1e-200 || product > 1e200 {
				logDet += math.Log(product)
				product = 1
			}
		}
	}
	return logDet + math.Log(product), true
}

// inverse fills inv with the inverse of the matrix whose factor is l.
func inverse(l []float64, n int, inv []float64) {
	for c := range n {
		for i := c; i < n; i++ { // column c of L⁻¹, kept in row c of inv
			s := 0.0
			if i == c {
				s = 1
			}
			for k := c; k < i; k++ {
				s -= l[i*n+k] * inv[c*n+k]
			}
			inv[c*n+i] = s / l[i*n+i]
		}
	}
	for i := range n {
		for j := i; j < n; j++ {
			s := 0.0
			for k := j; k < n; k++ {
				s += inv[i*n+k] * inv[j*n+k]
			}
			inv[i*n+j] = s
		}
	}
	for i := range n {
		for j := range i {
			inv[i*n+j] = inv[j*n+i]
		}
	}
}

// forward solves L·y = b in place.
func forward(l []float64, n int, b []float64) {
	for i := range n {
		s := b[i]
		for k := range i {
			s -= l[i*n+k] * b[k]
		}
		b[i] = s / l[i*n+i]
	}
}
