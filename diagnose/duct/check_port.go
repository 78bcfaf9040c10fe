package duct

import (
	"fmt"

	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/trade"
	"lostair/readings/problem"
)

func (c *checker) port(i int) {
	p, m := &c.s.Ports[i], &c.sh.Ports[i]
	who := "port " + keys.Quote(p.ID)
	if p.Hood == "" {
		c.within(&m.Marks, "ports", "hood", who, p.Loss)
	} else if _, ok := trade.HoodNamed(p.Hood); !ok {
		c.add(m.Pos("hood"), who+": hood "+keys.Quote(p.Hood)+" is not known", keys.Suggest(trade.HoodNames(), p.Hood))
	}
	c.taper(p, m, who)
	c.opening(p.Opening, m, who)
	before := len(c.out)
	c.within(&m.Marks, "ports", "need", who, p.Need)
	if n := len(c.s.Collector.Curve); len(c.out) == before && n > 0 && !c.sh.Loose {
		if most := c.s.Collector.Curve[n-1].Flow; most > 0 && p.Need > most {
			k := keys.SectionNamed("ports").Key("need")
			c.warn(m.Pos("need"), fmt.Sprintf("%s needs %s, and the fan curve ends at %s", who, c.show(k, p.Need), c.show(k, most)), "check the unit of both")
		}
	}
}

// taper holds a port's angle to its hood and to what is possible.
func (c *checker) taper(p *Port, m *keys.PortMarks, who string) {
	if p.Taper == 0 && m.Find("angle") == nil {
		return
	}
	if h, ok := trade.HoodNamed(p.Hood); !ok || len(h.Taper) == 0 {
		c.add(m.Pos("angle"), who+" has an angle and no hood that tapers", "leave it out, or write hood: "+problem.OrList(trade.TaperedHoods()))
		return
	}
	c.held(&m.Marks, keys.SectionNamed("ports").Key("angle"), who, p.Taper)
}

func (c *checker) opening(o *Opening, m *keys.PortMarks, who string) {
	switch {
	case o == nil:
	case m.Opening.Written || o.Width != 0 || o.Height != 0:
		c.within(&m.Opening, "ports.opening", "width", "the opening of "+who, o.Width)
		c.within(&m.Opening, "ports.opening", "height", "the opening of "+who, o.Height)
	default:
		c.within(&m.Marks, "ports", "opening", who, o.Diameter)
	}
}
