package tap

// MeanTension is the mean tension of the strings in newtons that goes with a bed's lowest mode: T = 4·m·L·f², where
// L = √area and m is the mass of one string of that length, which is f ≈ √(T/(4mL)) turned round.
// Source: R. Cross, Measuring String Tension (2006).
//
// It takes the frequency in hertz, the area inside the hoop in cm² and the strings' mass in grams per metre, the mean
// of mains and crosses where they differ; all are above nought. It assumes that mains and crosses pull alike, that the
// strings have no stiffness of their own, that nothing else (a damper, a stencil's paint) hangs on them, and that the
// bed is about square: an ellipse of 3 : 4 rings 2 % lower than a square of its area, and its tension comes out 4 %
// too low. A percent of frequency is two percent of tension.
func MeanTension(hz, areaCM2, gramsPerMetre float64) float64 {
	const m2, kg = 1e-4, 1e-3
	return 4 * gramsPerMetre * kg * areaCM2 * m2 * hz * hz
}

// TensionChange is by how many percent the tension of one and the same bed has changed between two readings: it goes
// as the square of the frequency, whatever the area and the mass. Both are in hertz and above nought.
func TensionChange(fromHz, toHz float64) float64 {
	return (toHz*toHz/(fromHz*fromHz) - 1) * 100
}
