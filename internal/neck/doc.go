// Package neck reads the neck file: what the maker intends, in strict TOML
// with a unit on every size, and holds it as a Model in millimetres, newtons,
// degrees Celsius and per cent.
package neck
