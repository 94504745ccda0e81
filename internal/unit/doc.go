// Package unit reads sizes that carry their unit, "0.58 mm", and prints them
// again. Inside the program lengths are in mm, forces in N, masses per length
// in g/m, bending stiffness in N·mm², stress in MPa, temperature in °C.
//
// The inch, the pound and standard gravity are exact by definition: 1 in =
// 25.4 mm and 1 lb = 0.45359237 kg (international yard and pound agreement of
// 1959), g = 9.80665 m/s² (3rd General Conference on Weights and Measures,
// 1901). All other factors follow from these.
package unit
