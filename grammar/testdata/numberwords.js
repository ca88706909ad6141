// Makes numberwords.txt: npm install number-to-words@1.2.4, then
// node numberwords.js > numberwords.txt
const { toWords } = require("number-to-words");
for (let n = -999; n <= 999; n++) console.log(n + "\t" + toWords(n));
