package neck

import "ringtrue/internal/unit"

// ShopGlue is [glue] of a shop file: what frets are glued with where nobody says
// otherwise.
type ShopGlue struct {
	Kind      string // as package glue names it
	Activator bool
}

// ShopAir is [air] of a shop file.
type ShopAir struct{ TempC, HumidityPct float64 }

// The usual glue and air are those of the command glue.
func shopGlueFields() []field[Shop] {
	return []field[Shop]{
		oneOf("kind", []string{"thin", "medium", "thick", "pva", "hide", "epoxy-5", "epoxy-slow"}, "glue that frets are set with; the first three are cyanoacrylate",
			func(s *Shop) *string { return &s.Glue.Kind }).or(`"thin"`),
		yesNo("activator", "cyanoacrylate is used with activator", func(s *Shop) *bool { return &s.Glue.Activator }).or("false"),
	}
}

func shopAirFields() []field[Shop] {
	return []field[Shop]{
		size("temperature", unit.Temperature, span{0, 50}, "temperature of the shop's air", func(s *Shop) *float64 { return &s.Air.TempC }).or(`"21 C"`),
		size("humidity", unit.Percent, span{1, 99}, "humidity of the shop's air", func(s *Shop) *float64 { return &s.Air.HumidityPct }).or(`"45 %"`),
	}
}
