// Density of moist air by a general psychrometric library, for the program's
// own CIPM-2007 to be compared with.
//
//     npm install psychrolib@1.1.1
//     node moist_air.js > moist_air.csv
//
// The library takes air as a mixture of ideal gases (ASHRAE Handbook
// Fundamentals 2017 ch. 1); CIPM-2007 has compressibility and the enhancement
// of the vapour pressure besides. The two differ by up to 0.06 % between 0 and
// 40 degrees and that is what the test allows.
const psy = require('psychrolib');
psy.SetUnitSystem(psy.SI);
console.log('# Made by moist_air.js with psychrolib 1.1.1 (npm). degC, Pa, relative humidity 0..1, kg/m3.');
console.log('temperature,pressure,humidity,density');
for (const t of [0, 5, 10, 15, 20, 25, 30, 35, 40]) {
  for (const p of [80000, 90000, 101325]) {
    for (const h of [0, 0.3, 0.6, 0.9]) {
      const w = psy.GetHumRatioFromRelHum(t, h, p);
      console.log([t, p, h, psy.GetMoistAirDensity(t, w, p).toPrecision(9)].join(','));
    }
  }
}
