"""Words that anybody uses, so that a title made of them alone may be no title where it is spoken.

English, chosen by hand from everyday talk and from what works of art are most often called. Which language is spoken
is told by the small words that no other of these languages has.
"""

from __future__ import annotations

from collections.abc import Iterable

from .word_list import word_list

_ENGLISH = word_list("""
    i he she you we they it me him us them my his her your our their this that these those what which who is are was
    were be been had has have do did does not and but or if then there here with from for of to when where why how
    would could should will can because about
    """)
_GERMAN = word_list("ich und der das ist nicht wir sie ein eine den dem mit auf von zu haben habe hat auch aber")
_OTHERS = _GERMAN | word_list("""
    je tu il elle nous vous le les et est une dans pour avec que qui pas du des sur sont mais ai
    el los las y que por con una pero esta muy del lo se yo fue es era como
    che di non gli della una sono ho del perche anche
    het een van ik niet maar en dat zijn ook
    och jag det som att har inte var den jeg og ikke av til
    """)

_COMMON = word_list(
    """
    a about above abstract accident across act action actor after afternoon again age ago air airport alley allotment
    alone along already also although always among an anchor ancient and angel anger angle animal another answer any
    anybody anyone anything anyway apple april area arm around arrangement arrival arrow art artist as ash ask at
    attic august aunt autumn away baby back bad bag balance balcony ball bar bare bark barn base basket bath bay be
    beach bear beard beautiful beauty because become bed bedroom bee before begin behind bell belong below bench
    beside best better between beyond big bird birth bit bite black blade blanket blind block blood bloom blossom blow
    blue board boat body bone book border born both bottle bottom bough boundary bowl box boy branch bread break
    breakfast breath bridge bright bring broken bronze brother brown bucket build building burn bus bush business but
    buy by cabin cable cafe cake call calm came camera can candle canvas cap car card care carpet carry cart castle
    cat catch cathedral cellar centre century ceramic chair chalk chance change chapel charcoal child childhood
    children chorus church circle city clay clean clear clearing cliff climb cloak clock close cloth clothes cloud
    coal coast coat coffee cold collage collection color colour column come company composition construction cool
    copper corner could country couple course courtyard cove cover cow crack cradle crane creek cross crossing crow
    crowd crown cry cup curtain curve cut daily dance dancer dark darkness date daughter dawn day dead dear death
    december deep departure desert desk detail diagram did die dinner dirt dish distance do doctor does dog doll dome
    door double down dozen draw drawing dream dress drift drink drive drop dry dune dusk dust dwelling each ear early
    earth east easy eat ebb echo edge egg eight either element elephant else embrace embroidery empty enclosure
    encounter end endless engine enough entrance etching even evening event ever every everybody everyone everything
    exhibition experience eye face fact factory fall false family far farm farmer fast father fear feather february
    feel feet fell fence ferry few field fifth fight figure film final find fine finger finish fire first fish
    fisherman five flag flat flesh flight float flood floor flow flower fly fog fold folk follow food fool foot for
    force forest forget form forty found fountain four fourth fox fragment frame free fresh friday friend from front
    fruit fugue full fun funeral funny furrow gallery game garage garden gate gave gaze geometry get ghost giant gift
    girl give glass glaze glove go goat god gold golden gone good gouache grand grandfather grandmother grass grave
    gravel gray great green grey grid ground group grow growth guest gull had hair half hall hammer hand handle hang
    happen happy harbor harbour hard harp harvest has hat have haystack head hear heart heat heaven heavy hedge hell
    help her here heron hers hide high hill him his history hive hold hole holiday home honey hope horizon horse
    hospital hot hotel hour house how however huge hull human hundred hunter hurt husband ice idea if image imprint in
    ink inside interior into iron is island it its january jar jetty job join journey joy july june just kale keep
    kept key kid kind king kiss kitchen kite knee knife knot know labour lace ladder lady lake lamb lamp land
    landscape lane lantern large last late later laugh lay leaf lean learn leave led left leg lemon less let letter
    library lichen life lift light lightness like lily limestone line linen lion lip list listen little live long look
    loom lord lose lost lot love lover low lower lunch machine mackerel made magic make man many map march mark market
    marsh mask may maybe me meadow meal mean meet meeting melody membrane memory men mend metal middle might milk mill
    mind mine mirror miss mist model modern moment monday money month moon more morning mosaic moss most moth mother
    motion mountain mouse mouth move movement much murmur museum music must my naked name narrow nature near neck need
    needle neighbor neighbour nest net never new news next nice night nine no nobody nocturne noise none noon north
    nose not nothing november now nude number oak object ocean october of off offering office often oh oil old on once
    one only open or orange orchard order other our out outside over own page pain paint painter painting pair palace
    pale paper parent park part party pass passage past pastel pasture path pattern peace pear pebble pencil people
    performance perhaps person photo photograph piano picture piece pier pig pigment pillar pine pink pipe place plain
    plan plane plant plaster plate play player please plough pocket poem point pond pool poor poppy port portrait
    possible postcard pot pour prayer present pretty price print prison problem procession prospect public pull pulse
    purple push put quarry quarter queen question quick quiet quilt quite rabbit rain rainbow raise ran reach read
    reading ready real rectangle red reed reflection relief remember resonance rest restaurant return rhythm rich ride
    right ring ripple rise ritual river road rock roof room root rope rose rough round roundel row ruin rule run sad
    safe said sail sailor salt same sand sat saturday saw say scene school scream sculpture sea seam seascape season
    seat seaweed second see seed seem self sell send september series serve set seven shade shadow shape share sharp
    she shed sheep shell shelter shine ship shirt shoal shoe shop shore short should shoulder show shrine side sign
    signal silence silent silver simple sing single sister sisters sit six size skin skull sky slate sleep sleeper
    slip slope slow small smell smile smith smoke snake snow so soft soldier solitude some somebody someone something
    sometimes son song soon sorry sort soul sound south space sparrow spiral spring square stack stage stair stand
    star start state station stay steel step still stillness stitch stone stood stop store storm story straight
    strange stranger stream street string strong structure studio study stuff such sudden sugar suit summer sun sunday
    sunrise sunset supper sure surface swallow swan sweet swim swimmer table take talk tall tapestry tea teach tear
    tell temple ten tent territory test than that the theatre their them then there these they thick thicket thin
    thing think third thirst thirty this those thought thousand thread three threshold through throw thursday tide
    timber time tiny to today together told tomb tomorrow tongue too took tool top torso touch toward towards tower
    town toy trace track train transition tree triangle trip trouble true trust truth try tuesday tulip turn twelve
    twenty twice twilight two umbrella uncle under unfinished until untitled up upon upper us use valley variation
    vase veil very vessel view village violin visit visitor vista voice wait walk wall want war warm warmth was wash
    watch water wave way we wear weather wedding wednesday week weight well went were west wet what wheat wheel when
    where which while whisper white who whole why wide wife wild will willow wind window wine wing winter wire wise
    wish with without woman women wonder wood wool word work worker world worse would wound wreath wreck write wrong
    yard year yellow yes yesterday yet you young your
    akt autoportrait autoritratto autorretrato azul bild blau bleu composicion composizione estudio etude komposition
    landschaft nacht natura noche notte nu nuit ohne paesaggio paisaje paysage sans selbstbildnis selbstportrait senza
    sin stillleben studie titel titolo titre titulo zonder
    """
)


def is_common(word: str) -> bool:
    """Whether a folded word, or what it is a form of ("reading", "nets", "drier"), is one of everyday talk."""
    return word.isdigit() or word in _COMMON or any(stem in _COMMON for stem in _stems(word))


def is_english(words: Iterable[str]) -> bool:
    """Whether folded words are English talk, as far as their small words tell; few words are taken for English."""
    listed = list(words)
    return sum(word in _ENGLISH for word in listed) >= sum(word in _OTHERS for word in listed)


def is_german(words: Iterable[str]) -> bool:
    """Whether folded words are German talk, which writes every noun with a capital."""
    listed = list(words)
    german = sum(word in _GERMAN for word in listed)
    return german > max(sum(word in _ENGLISH for word in listed), sum(word in _OTHERS - _GERMAN for word in listed))


def _stems(word: str) -> Iterable[str]:
    for ending, instead in _ENDINGS:
        if word.endswith(ending) and len(word) - len(ending) >= 2:
            stem = word.removesuffix(ending)
            yield stem + instead
            if len(stem) > 2 and stem[-1] == stem[-2]:
                yield stem[:-1]


_ENDINGS = tuple(
    (ending, instead)
    for ending, insteads in (
        ("s", ("",)),
        ("es", ("",)),
        ("ies", ("y",)),
        ("ing", ("", "e")),
        ("ed", ("", "e")),
        ("ied", ("y",)),
        ("er", ("", "e")),
        ("ier", ("y",)),
        ("est", ("", "e")),
        ("ly", ("",)),
        ("y", ("", "e")),
    )
    for instead in insteads
)
