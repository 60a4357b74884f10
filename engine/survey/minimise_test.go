package survey

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// nistDigits is the relative agreement asked for with values certified to eleven
// digits.
const nistDigits = 1e-8

// nistSet is a certified data set. Source: NIST Statistical Reference Datasets,
// nonlinear regression (Misra1a, DanWood, Rat42, MGH09, BoxBOD).
type nistSet struct {
	name   string
	y, x   []float64
	model  func(b []float64, x float64) (f float64, d []float64)
	starts [][]float64
	b, sd  []float64
	rss, s float64
}

func nistSets() []nistSet {
	misra := func(b []float64, x float64) (float64, []float64) {
		e := math.Exp(-b[1] * x)
		return b[0] * (1 - e), []float64{1 - e, b[0] * x * e}
	}
	return []nistSet{
		{"Misra1a", []float64{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78},
			[]float64{77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0}, misra,
			[][]float64{{500, 1e-4}, {250, 5e-4}}, []float64{2.3894212918e+02, 5.5015643181e-04}, []float64{2.7070075241e+00, 7.2668688436e-06},
			1.2455138894e-01, 1.0187876330e-01},
		{"DanWood", []float64{2.138, 3.421, 3.597, 4.340, 4.882, 5.660}, []float64{1.309, 1.471, 1.490, 1.565, 1.611, 1.680},
			func(b []float64, x float64) (float64, []float64) {
				p := math.Pow(x, b[1])
				return b[0] * p, []float64{p, b[0] * p * math.Log(x)}
			}, [][]float64{{1, 5}, {.7, 4}}, []float64{7.6886226176e-01, 3.8604055871e+00}, []float64{1.8281973860e-02, 5.1726610913e-02},
			4.3173084083e-03, 3.2853114039e-02},
		{"Rat42", []float64{8.93, 10.80, 18.59, 22.33, 39.35, 56.11, 61.73, 64.62, 67.08}, []float64{9, 14, 21, 28, 42, 57, 63, 70, 79},
			func(b []float64, x float64) (float64, []float64) {
				e := math.Exp(b[1] - b[2]*x)
				q := 1 + e
				return b[0] / q, []float64{1 / q, -b[0] * e / (q * q), b[0] * x * e / (q * q)}
			}, [][]float64{{100, 1, .1}, {75, 2.5, .07}}, []float64{7.2462237576e+01, 2.6180768402e+00, 6.7359200066e-02},
			[]float64{1.7340283401e+00, 8.8295217536e-02, 3.4465663377e-03}, 8.0565229338e+00, 0},
		{"MGH09", []float64{.1957, .1947, .1735, .1600, .0844, .0627, .0456, .0342, .0323, .0235, .0246},
			[]float64{4, 2, 1, .5, .25, .167, .125, .1, .0833, .0714, .0625},
			func(b []float64, x float64) (float64, []float64) {
				n, q := x*x+x*b[1], x*x+x*b[2]+b[3]
				return b[0] * n / q, []float64{n / q, b[0] * x / q, -b[0] * n * x / (q * q), -b[0] * n / (q * q)}
			}, [][]float64{{25, 39, 41.5, 39}, {.25, .39, .415, .39}},
			[]float64{.19280693458, .19128232873, .12305650693, .13606233068}, []float64{.011435312227, .19633220911, .080842031232, .090025542308},
			3.0750560385e-04, 0},
		// From (1, 1) a step of little damping leaps to where the curve is flat.
		{"BoxBOD", []float64{109, 149, 149, 191, 213, 224}, []float64{1, 2, 3, 5, 7, 10}, misra, [][]float64{{1, 1}, {100, .75}},
			[]float64{2.1380940889e+02, 5.4723748542e-01}, []float64{1.2354515176e+01, 1.0455993237e-01}, 1.1680088766e+03, 0},
	}
}

func TestCertifiedRegressions(t *testing.T) {
	for _, set := range nistSets() {
		c := Curve{Values: len(set.y), Residuals: func(b, v []float64, j *mat.Dense) {
			for i, x := range set.x {
				f, d := set.model(b, x)
				v[i] = f - set.y[i]
				j.SetRow(i, d)
			}
		}}
		for _, start := range set.starts {
			name := fmt.Sprintf("%s from %v", set.name, start)
			got := FitCurve(c, start)
			if !got.Done {
				t.Errorf("%s: no rest after %d steps", name, got.Steps)
			}
			near(t, name+" RSS", got.RSS, set.rss, nistDigits*set.rss)
			if set.s > 0 {
				near(t, name+" s", got.S, set.s, nistDigits*set.s)
			}
			for i := range set.b {
				near(t, fmt.Sprint(name, " b", i+1), got.B[i], set.b[i], nistDigits*math.Abs(set.b[i]))
				near(t, fmt.Sprint(name, " sd", i+1), got.Sigma[i], set.sd[i], nistDigits*set.sd[i])
			}
		}
	}
}

func TestCurvesWithoutEnoughValues(t *testing.T) {
	c := Curve{Values: 1, Residuals: func(_, v []float64, _ *mat.Dense) { v[0] = 0 }}
	if got := FitCurve(c, []float64{1, 2}); got.Done {
		t.Errorf("two parameters from one value: %+v", got)
	}
	if got := FitCurve(c, nil); got.Done {
		t.Errorf("no parameters: %+v", got)
	}
}
