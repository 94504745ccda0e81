package num

// Detrend takes the straight line of least squares over x out of values, in place.
// x holds two numbers or more that are not all the same.
func Detrend(x, values []float64) {
	n := float64(len(x))
	var xMean, mean, xx, xv float64
	for i, v := range values {
		xMean, mean = xMean+x[i]/n, mean+v/n
	}
	for i, v := range values {
		d := x[i] - xMean
		xx, xv = xx+d*d, xv+d*(v-mean)
	}
	slope := xv / xx
	for i, v := range values {
		values[i] = v - mean - slope*(x[i]-xMean)
	}
}
