package tune

import (
	"math"

	"ringtrue/internal/stringset"
)

// modulusDoubt is how well music wire's modulus is known: data sheets and acoustics
// texts give 190 to 210 GPa.
const modulusDoubt = 0.05

// SaddleRange is SaddleSetback with the steel's modulus and, where coreTaken,
// the core's diameter at either end of what is likely; stiffTaken says that the
// bending stiffness follows from them, not from the neck file. It says how far
// the answer hangs on what nobody measured. Errors as SaddleSetback.
func (l Lane) SaddleRange(fret int, coreTaken, stiffTaken bool) (lowMM, highMM float64, err error) {
	lowMM, highMM = math.Inf(1), math.Inf(-1)
	cores := []float64{1}
	if coreTaken {
		cores = []float64{1 - stringset.CoreDoubt, 1 + stringset.CoreDoubt}
	}
	for _, core := range cores {
		for _, modulus := range []float64{1 - modulusDoubt, 1 + modulusDoubt} {
			x := l
			x.String.CoreMM *= core * math.Sqrt(modulus) // carries the axial stiffness E·A
			if stiffTaken {
				x.String.StiffnessNMM2 *= modulus * math.Pow(core, 4)
			}
			mm, err := x.SaddleSetback(fret)
			if err != nil {
				return 0, 0, err
			}
			lowMM, highMM = math.Min(lowMM, mm), math.Max(highMM, mm)
		}
	}
	return lowMM, highMM, nil
}
