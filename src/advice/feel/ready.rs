//! What is understood of riders in English, of the advice that ships, made ready.
//!
//! Made from `templates/said/en.toml` and `templates/advice.toml`: `LOAMBOOK_ACCEPT=1 cargo nextest run -E 'test(/english_is_made_ready/)'` writes it anew, and nobody else.

use super::lexicon::{Lexicon, Lines};

/// The words for complaints, a line each, in the order of the file.
pub const COMPLAINTS: &str = "\
headshake\nnervous\npushes\ntucks\ndeflects\nharsh\ndives\nbottoms-front\nbottoms-rear\nkicks\npacks\nswaps\n\
squats\nno-drive-grip\nhits-hard\nlazy\narm-pump\nfork-packs\nheavy-steering\nwallows\nweaves\nbogs\ncramped\n\
fades\n";

pub(super) const fn english() -> Lexicon {
    Lexicon::ready(WAYS, WORDS, SINGLES)
}

const WAYS: Lines = Lines::ready("\
abrupt\tchits-hard\tabrupt pow\t\nall\tpeverywhere\tall over\t\nall\tpeverywhere\tall track\t\n\
apex\tpmid-corner\tapex\t\narm\tcarm-pump\tarm pump\t\narmpump\tcarm-pump\tarmpump\t\n\
at\tpstraight\tat spe\t\nback\tcno-drive-grip\tback end step out\t\nback\tckicks\tback end kick\t\n\
back\tckicks\tback end hop\t\nback\tcswaps\tback end swap\t\nback\tcno-drive-grip\tback step out\t\n\
back\tcno-drive-grip\tback end slid\t\nback\tcbottoms-rear\tback bottom\t\nback\tckicks\tback hop\t\n\
back\tcno-drive-grip\tback slid\t\nbar\tcheadshake\tbar shak\t\nbar\tcheadshake\tbar flap\t\n\
bar\tcheadshake\tbar wobbl\t\nbar\tcheavy-steering\tbar heavy\t\nbeat\tcharsh\tbeat up my hand\t\n\
beat\tcharsh\tbeat me up\t\nbeat\tcharsh\tbeat my hand\t\nberm\tpmid-corner\tberm\t\nbet\t-\tbet\t\n\
blow\tcdives\tblow through\t\nboaty\tcwallows\tboaty\t\nbog\tcbogs\tbog down\t\nbog\tcbogs\tbog\t\n\
bottom\tcbottoms-front\tbottom front\t\nbottom\tcbottoms-rear\tbottom rear\t\n\
bottom\tcbottoms-front\tbottom fork\t\nbottom\tcbottoms-front\tbottom front\t\n\
bottom\tcbottoms-front\tbottom fork\t\nbottom\tcbottoms-rear\tbottom shock\t\n\
bottom\tcbottoms-rear\tbottom rear\t\nbottom\tcbottoms-rear\tbottom shock\t\nbounc\tcdeflects\tbounc off\t\n\
brak\tpbraking\tbrak bump\t\nbrak\tpbraking\tbrak\t\nbuck\tckicks\tbuck\t\ncalm\t-\tcalm\t\n\
cannot\tccramped\tcannot stand up\t\ncant\tcno-drive-grip\tcant get the pow down\t\n\
chat\tpchatter\tchat bump\t\nchat\tpchatter\tchat\t\nchattery\tcharsh\tchattery\t\n\
climb\tcpushes\tclimb out\t\ncorn\tpcorner-entry\tcorn entry\t\ncorn\tpcorner-exit\tcorn exit\t\n\
corn\tpcorner-entry\tcorn entranc\t\ncorn\tpmid-corner\tcorn\t\ncramp\tccramped\tcramp\t\n\
deflect\tcdeflects\tdeflect\t\ndeflection\tcdeflects\tdeflection\t\ndiv\tcdives\tdiv\t\n\
dos\tcpushes\tdos not turn\t\ndosnt\tcpushes\tdosnt turn\t\ndrift\tcpushes\tdrift wid\t\n\
drop\tctucks\tdrop into\t\nendo\tckicks\tendo\t\nentry\tpcorner-entry\tentry\t\n\
everywher\tpeverywhere\teverywher\t\nexit\tpcorner-exit\texit\t\nfad\tcfades\tfad\t\nfal\tctucks\tfal into\t\n\
fal\tcbogs\tfal flat\t\nfin\t-\tfin\t\nfishtail\tcswaps\tfishtail\t\nflat\tclazy\tflat pow\t\n\
flat\tcbogs\tflat spot\t\nflat\tpstraight\tflat out\t\nflat\tplanding\tflat land\t\nfold\tctucks\tfold\t\n\
follow\tcweaves\tfollow every groov\t\nforearm\tcarm-pump\tforearm pump\t\n\
forearm\tcarm-pump\tforearm tight\t\nfork\tcfork-packs\tfork pack down\t\nfork\tcfades\tfork gos soft\t\n\
fork\tcfades\tfork get soft\t\nfork\tcfades\tfork gos off\t\nfork\tcfork-packs\tfork pack\t\n\
fork\tcdives\tfork drop\t\nfork\tcbottoms-front\tfork bottom\t\nfork\tcbottoms-front\tfork bang\t\n\
fork\tcfork-packs\tfork pack\t\nfork\tcfades\tfork fad\t\nfront\tcpushes\tfront feel vagu\t\n\
front\tcpushes\tfront feel light\t\nfront\tcfork-packs\tfront pack down\t\nfront\tcpushes\tfront slid\t\n\
front\tcpushes\tfront wash\t\nfront\tcpushes\tfront push\t\nfront\tcpushes\tfront drift\t\n\
front\tcpushes\tfront vagu\t\nfront\tcpushes\tfront light\t\nfront\tcbottoms-front\tfront bottom\t\n\
front\tcbottoms-front\tfront clank\t\nfront\tcfork-packs\tfront pack\t\ngat\tpstart\tgat\t\n\
get\tcfades\tget wors when hot\t\ngood\t-\tgood\t\ngos\tcfades\tgos away when hot\t\ngreat\t-\tgreat\t\n\
hairpin\tpmid-corner\thairpin\t\nhand\tcarm-pump\thand tir\t\nhandlebar\tcheadshake\thandlebar shak\t\n\
happy\t-\thappy\t\nhard\tcharsh\thard on smal bump\t\nhard\tcharsh\thard on the hand\t\n\
hard\tcheavy-steering\thard to turn\t\nharsh\tcharsh\tharsh\t\nharshnes\tcharsh\tharshnes\t\n\
head\tcheadshake\thead shak\t\nheadshak\tcheadshake\theadshak\t\nheavy\tcheavy-steering\theavy to turn\t\n\
heavy\tcheavy-steering\theavy steer\t\nheavy\tcheavy-steering\theavy bar\t\nhesitat\tcbogs\thesitat\t\n\
high\tpstraight\thigh spe\t\nhit\tchits-hard\thit too hard\t\nhit\tchits-hard\thit hard\t\n\
hop\tckicks\thop\t\nhot\tcfades\thot fork\t\nhunch\tccramped\thunch\t\nhurt\tcharsh\thurt my hand\t\n\
into\tpcorner-entry\tinto the corn\t\ninto\tpcorner-entry\tinto corn\t\ninto\tpcorner-entry\tinto turn\t\n\
jar\tcharsh\tjar\t\njittery\tcnervous\tjittery\t\njump\tpjump-face\tjump fac\t\njump\tpjump-face\tjump\t\n\
kerb\tpsquare-edges\tkerb\t\nkick\tcdeflects\tkick off lin\t\nkick\tckicks\tkick up\t\nkick\tckicks\tkick\t\n\
kne\tccramped\tkne too high\t\nknif\tctucks\tknif\t\nknock\tcdeflects\tknock off lin\t\n\
land\tplanding\tland\t\nlanding\tplanding\tlanding\t\nlazy\tcpushes\tlazy steer\t\nlazy\tclazy\tlazy\t\n\
ledg\tpsquare-edges\tledg\t\nlip\tpjump-face\tlip\t\nmid\tpmid-corner\tmid corn\t\n\
mid\tpmid-corner\tmid turn\t\nmiddl\tpmid-corner\tmiddl of the corn\t\nmushy\tcwallows\tmushy\t\n\
nervou\tcnervous\tnervou\t\nno\tcpushes\tno feel from the front\t\nno\tcpushes\tno feel at the front\t\n\
no\tcno-drive-grip\tno grip on the gas\t\nno\tcno-drive-grip\tno grip at rear\t\n\
no\tcno-drive-grip\tno driv grip\t\nno\tcpushes\tno front grip\t\nno\tcpushes\tno front feel\t\n\
no\tcno-drive-grip\tno rear grip\t\nno\tclazy\tno bottom end\t\nno\tcharsh\tno plushnes\t\n\
no\tcno-drive-grip\tno driv\t\nno\tcno-drive-grip\tno traction\t\nno\tclazy\tno pow\t\n\
no\tccramped\tno room\t\nno\t-\tno complaint\t\nnos\tcdives\tnos div\t\nnos\tckicks\tnos low\t\n\
nos\tckicks\tnos down\t\nnosediv\tcdives\tnosediv\t\nnoth\t-\tnoth\t\noff\tpstart\toff the gat\t\n\
off\tpoff-camber\toff camb\t\noff\tpjump-face\toff jump\t\noff\tplanding\toff drop\t\n\
off\tpoff-camber\toff camb\t\nok\t-\tok\t\nokay\t-\tokay\t\non\tpbraking\ton the brak\t\n\
on\tpcorner-exit\ton the gas\t\non\tpcorner-exit\ton the throttl\t\noscillat\tcheadshake\toscillat\t\n\
out\tpcorner-exit\tout of the corn\t\nout\tpcorner-exit\tout of corn\t\nout\tpcorner-exit\tout of turn\t\n\
overst\tctucks\toverst\t\npack\tcfork-packs\tpack in front\t\npack\tcpacks\tpack down\t\n\
pack\tcpacks\tpack up\t\npack\tcpacks\tpack in\t\npack\tcpacks\tpack\t\nperfect\t-\tperfect\t\n\
pinbal\tcdeflects\tpinbal\t\nping\tcdeflects\tping off\t\npogo\tcwallows\tpogo stick\t\n\
pogo\tcwallows\tpogo\t\npump\tcarm-pump\tpump arm\t\npush\tcpushes\tpush\t\nrear\tckicks\trear kick up\t\n\
rear\tcsquats\trear feel low\t\nrear\tcno-drive-grip\trear step out\t\nrear\tcwallows\trear mov around\t\n\
rear\tcbottoms-rear\trear bottom\t\nrear\tcbottoms-rear\trear bang\t\nrear\tckicks\trear kick\t\n\
rear\tckicks\trear hop\t\nrear\tcpacks\trear pack\t\nrear\tcswaps\trear swap\t\nrear\tcsquats\trear squat\t\n\
rear\tcsquats\trear low\t\nrear\tcno-drive-grip\trear spin\t\nrear\tcno-drive-grip\trear slid\t\n\
rear\tcwallows\trear bounc\t\nrebound\tcwallows\trebound too fast\t\nrock\tprocks\trock garden\t\n\
rock\tprocks\trock\t\nrocky\tprocks\trocky\t\nrol\tpwhoops\trol\t\nroot\tpsquare-edges\troot\t\n\
rough\tcharsh\trough\t\nrun\tcsquats\trun wid on pow\t\nrun\tcpushes\trun wid\t\nrut\tpruts\trut\t\n\
sand\tpwhoops\tsand rol\t\nshak\tcheadshake\tshak its head\t\nshock\tcbottoms-rear\tshock bottom\t\n\
sid\tcswaps\tsid to sid\t\nsid\tpoff-camber\tsid hil\t\nsit\tcsquats\tsit low at the back\t\n\
sit\tcsquats\tsit too low\t\nsit\tcsquats\tsit down\t\nslid\tcpushes\tslid the front\t\n\
slid\tcno-drive-grip\tslid on pow\t\nslow\tcpushes\tslow to turn in\t\nslow\tcpushes\tslow to turn\t\n\
slow\tcpushes\tslow steer\t\nsluggish\tclazy\tsluggish\t\nsmal\tpchatter\tsmal bump\t\nsnak\tcweaves\tsnak\t\n\
snatchy\tchits-hard\tsnatchy\t\nsoggy\tcwallows\tsoggy\t\nspe\tcheadshake\tspe wobbl\t\n\
spin\tcno-drive-grip\tspin up\t\nsplut\tcbogs\tsplut\t\nspot\t-\tspot on\t\nspringy\tcwallows\tspringy\t\n\
sput\tcbogs\tsput\t\nsquar\tpsquare-edges\tsquar edg\t\nsquat\tcsquats\tsquat\t\nstand\tcpushes\tstand up\t\n\
start\tpstart\tstart\t\nste\tcheavy-steering\tste heavy\t\nsteer\tcpushes\tsteer lazy\t\n\
steer\tcheavy-steering\tsteer heavy\t\nsteer\tcheavy-steering\tsteer stif\t\n\
stif\tcheavy-steering\tstif steer\t\nstif\tcharsh\tstif\t\nston\tprocks\tston\t\n\
straight\tpstraight\tstraight\t\nstumbl\tcbogs\tstumbl\t\nstut\tpchatter\tstut bump\t\n\
swap\tcswaps\tswap end\t\nswap\tcswaps\tswap\t\nsweep\tpmid-corner\tsweep\t\ntak\tpjump-face\ttak off\t\n\
takeof\tpjump-face\ttakeof\t\ntank\tcheadshake\ttank slap\t\nthrow\tckicks\tthrow me over\t\n\
thrown\tcdeflects\tthrown off lin\t\ntir\tcarm-pump\ttir hand\t\ntir\tcarm-pump\ttir forearm\t\n\
too\tccramped\ttoo tight for me\t\ntoo\tchits-hard\ttoo much hit\t\ntoo\tcharsh\ttoo hard\t\n\
too\tcharsh\ttoo stif\t\ntoo\tchits-hard\ttoo snappy\t\ntoo\tchits-hard\ttoo aggressiv\t\n\
too\tcwallows\ttoo springy\t\ntoo\tccramped\ttoo tal\t\ntop\tpstraight\ttop spe\t\n\
touchdown\tplanding\ttouchdown\t\ntuck\tctucks\ttuck und\t\ntuck\tctucks\ttuck\t\n\
turn\tctucks\tturn in too fast\t\nturn\tctucks\tturn in too quick\t\nturn\tcpushes\tturn in slowly\t\n\
turn\tctucks\tturn too fast\t\nturn\tpcorner-entry\tturn in\t\nturn\tpmid-corner\tturn\t\n\
twitchy\tcheadshake\ttwitchy\t\nund\tpbraking\tund brak\t\nund\tpcorner-exit\tund pow\t\n\
underst\tcpushes\tunderst\t\nunstabl\tcnervous\tunstabl\t\nuse\tcdives\tuse up its travel\t\n\
use\tcdives\tuse up travel\t\nuse\tcdives\tuse all travel\t\nvagu\tcpushes\tvagu front\t\n\
wallow\tcwallows\twallow\t\nwallowy\tcwallows\twallowy\t\nwand\tcweaves\twand\t\nwash\tcpushes\twash out\t\n\
wash\tcpushes\twash wid\t\nwashboard\tpchatter\twashboard\t\nweav\tcweaves\tweav\t\n\
wheel\tcno-drive-grip\twheel spin\t\nwheeli\tcsquats\twheeli too much\t\n\
wheelspin\tcno-drive-grip\twheelspin\t\nwhol\tpeverywhere\twhol track\t\nwhol\tpeverywhere\twhol lap\t\n\
whoop\tpwhoops\twhoop\t\nwil\tcweaves\twil not hold a lin\t\nwil\tcpushes\twil not turn in\t\n\
wil\tcno-drive-grip\twil not hook up\t\nwil\tcpushes\twil not turn\t\nwil\tclazy\twil not pul\t\n\
wobbl\tcheadshake\twobbl\t\nwont\tcweaves\twont hold a lin\t\nwont\tcno-drive-grip\twont hook up\t\n\
wont\tcpushes\twont turn\t\nwont\tclazy\twont pul\t\n", &[
0,30,56,83,106,130,157,178,217,244,270,297,332,367,399,421,452,477,502,528,559,588,612,638,661,672,698,720,740,
755,791,825,860,896,931,966,1000,1035,1062,1087,1107,1125,1138,1171,1214,1239,1259,1285,1310,1341,1370,1403,
1426,1448,1475,1508,1524,1550,1576,1601,1624,1642,1669,1702,1726,1742,1763,1783,1794,1820,1841,1863,1888,1913,
1931,1966,1998,2031,2064,2091,2118,2144,2172,2195,2228,2259,2287,2309,2340,2372,2407,2433,2459,2485,2512,2538,
2565,2600,2634,2664,2680,2710,2723,2753,2768,2797,2822,2859,2874,2905,2935,2970,2990,3016,3043,3073,3110,3145,
3178,3201,3226,3255,3280,3296,3317,3339,3365,3399,3429,3459,3475,3501,3527,3549,3574,3603,3624,3642,3669,3687,
3718,3738,3764,3789,3806,3831,3851,3877,3903,3940,3962,3986,4021,4054,4092,4127,4159,4185,4211,4243,4267,4290,
4317,4348,4365,4386,4405,4425,4445,4466,4490,4503,4527,4553,4578,4601,4627,4636,4649,4674,4702,4734,4764,4798,
4828,4858,4880,4912,4935,4956,4977,4995,5014,5039,5064,5090,5110,5135,5154,5180,5208,5243,5274,5306,5336,5359,
5381,5404,5427,5452,5475,5506,5537,5563,5598,5623,5641,5661,5678,5703,5723,5751,5772,5787,5810,5841,5875,5898,
5923,5956,5981,6003,6032,6065,6095,6122,6147,6172,6197,6216,6244,6266,6292,6321,6340,6356,6382,6399,6430,6451,
6475,6495,6526,6552,6587,6621,6654,6672,6690,6719,6740,6765,6787,6805,6830,6854,6880,6907,6935,6968,6992,7019,
7050,7079,7100,7121,7148,7178,7204,7226,7249,7279,7301,7319,7349,7380,7409,7436,7464,7487,7515,7538,7564,7589,
7615,7645,7671,7698,7723,7747,7773,7792,7815,7838,7868,7887,7920,7952,7988,8017,8044,8065,8097,8126,8162,8188,
8211,8235,8265,8299,8323,]);
const WORDS: Lines = Lines::ready("\
a\ts\nacross\ta\nagain\ts\nall\tx\nalso\tj\nalways\ts\nam\ts\nan\ts\nand\ts\nand\tj\nare\ts\nas\ts\nat\ts\n\
at\ta\nback\tp\nbar\tc\nbars\tp\nbe\ts\nbeen\ts\nbetter\tb\nbike\ts\nbit\ts\nbottom\tx\nbrake\tp\nbrakes\tp\n\
but\ts\nbut\tj\nchain\tp\nclick\tc\nclicks\tc\nclutch\tp\ncorner\tc\ncrest\tx\ncured\to\ndidnt\tn\n\
disappeared\to\ndoesnt\tn\ndont\tn\neach\tx\nend\ts\nend\tx\nengine\tp\nevery\tx\nfeels\ts\nfelt\ts\n\
first\tx\nfixed\to\nfor\ts\nfork\tp\nforks\tp\nfrom\ts\nfront\tp\ngear\tc\ngearbox\tp\ngets\ts\ngone\to\n\
got\ts\nhalf\tx\nhandlebars\tp\nher\tx\nhim\tx\nhour\tc\nhours\tc\ni\ts\nimproved\tb\nimprovement\tb\nin\ts\n\
is\ts\nisnt\tn\nit\ts\nits\ts\njump\tc\njust\ts\nkm\tc\nkmh\tc\nlap\tc\nlaps\tc\nlast\tx\nleast\tx\nless\tn\n\
m\tc\nme\ts\nme\tx\nmiddle\tx\nmin\tc\nminute\tc\nminutes\tc\nmm\tc\nmost\tx\nmoto\tc\nmotor\tp\nmph\tc\n\
my\ts\nnd\tc\nnever\tn\nno\tn\nnot\tn\nnothing\tn\nof\ts\noff\ta\non\ts\nonce\tx\nonto\ta\nover\ts\nover\ta\n\
pegs\tp\nplus\tj\npsi\tc\nquite\ts\nrace\tc\nrd\tc\nreally\ts\nrear\tp\nrise\tx\nsame\te\nseat\tp\n\
section\tc\nshock\tp\nso\ts\nsome\ts\nsometimes\ts\nsorted\to\nspeed\tx\nst\tc\nstart\tx\nsteering\tp\n\
still\ts\nstuff\ts\nsuspension\tp\ntable\tc\nth\tc\nthat\ts\nthat\tx\nthe\ts\nthem\tx\nthen\ts\nthen\tj\n\
there\ts\nthis\tx\nthrough\ta\ntimes\tx\ntimes\tc\ntire\tp\ntires\tp\nto\ts\ntoo\ts\ntop\tx\nturn\tc\n\
tyre\tp\ntyres\tp\nunchanged\te\nunder\ts\nup\ts\nvery\ts\nwas\ts\nwasnt\tn\nwere\ts\nwheel\tp\nwheels\tp\n\
when\ts\nwhile\ts\nwith\ts\nwithout\tn\nworse\tw\n", &[
0,4,13,21,27,34,43,48,53,59,65,71,76,81,86,93,99,106,111,118,127,134,140,149,157,166,172,178,186,194,203,212,
221,229,237,245,259,268,275,282,288,294,303,311,319,326,334,342,348,355,363,370,378,385,395,402,409,415,422,
435,441,447,454,462,466,477,491,496,501,508,513,519,526,533,538,544,550,557,564,572,579,583,588,593,602,608,
617,627,632,639,646,654,660,665,670,678,683,689,699,704,710,715,722,729,736,743,750,757,763,771,778,783,792,
799,806,813,820,830,838,843,850,862,871,879,884,892,903,911,919,932,940,945,952,959,965,972,979,986,994,1001,
1011,1019,1027,1034,1042,1047,1053,1059,1066,1073,1081,1093,1101,1106,1113,1119,1127,1134,1142,1151,1158,1166,
1173,1183,]);
const SINGLES: &str = "\
headshake\nnervous\npushes\ntucks\ndeflects\nharsh\ndives\nkicks\npacks\nswaps\nsquats\nlazy\nwallows\n\
weaves\nbogs\ncramped\nfades\nstart\nstraight\nbraking\nlanding\nwhoops\nruts\nrocks\nchatter\neverywhere\n\
unstable\njittery\ntwitchy\noscillates\nwobbles\nundersteers\nknifes\nfolds\noversteers\ndeflection\n\
pinballs\nharshness\nstiff\njarring\nchattery\nrough\nnosedives\nbucks\nendo\nhops\nfishtails\nwheelspin\n\
snatchy\nsluggish\nwallowy\nmushy\nboaty\nsoggy\npogo\npogos\nspringy\nweave\nwanders\nwander\nsnakes\nbog\n\
hesitates\nstumbles\nsplutters\nsputters\nhunched\narmpump\ngate\nstarts\nstraights\nbrakes\nbrake\nentry\n\
apex\ncorner\ncorners\nhairpin\nturns\nberm\nsweeper\nexit\nlips\ntakeoff\njumps\nlands\nlandings\ntouchdown\n\
whoop\nrollers\nrut\nrutted\nrock\nrocky\nstones\nroots\nledges\nkerbs\nwashboard\ngood\ngreat\nfine\n\
perfect\nok\nokay\nnothing\nhappy\nbetter\ncalm\n";
