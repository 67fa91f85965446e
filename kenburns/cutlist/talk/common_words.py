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
    a about above abstract accident ache acorn across act action actor after afternoon again age ago air airport alley
    allotment almond alone along already also although always among an anchor ancient and angel anger angle animal
    another answer any anybody anyone anything anyway apple apricot april archway area arm around arrangement arrival
    arrow art artist as ash ashes ask asphalt at attic august aunt autumn away baby back bad bag balance balcony ball
    ballad bar bare barge bark barley barn base basket bath battle bay be beach bear beard beautiful beauty because
    become bed bedroom bee beech before begin behind bell belong below bench beside best better between beyond big
    birch bird birth bit bite black blade blanket blaze blessing blind block blood bloom blossom blow blue board boat
    body bog bone book border born both bottle bottom bough boundary bowl box boy bramble branch bread break breakfast
    breath breeze bricks bride bridge bright bring broken bronze brother brow brown bruise bucket build building
    bunker buoy burn bus bush business but buy by cabbage cabin cable cafe cake call calm came camera can canal candle
    canvas cap car card care carpet carriage carrot carry cart castle cat catch cathedral cedar cellar centre century
    ceramic chair chalk chance change chapel charcoal cherry chestnut child childhood children choir chord chorus
    church circle city clay clean clear clearing cliff climb cloak clock close cloth clothes cloud clover coal coast
    coat coffee cold collage collection color colour column come comet company composition concrete confession
    construction cool copper corner corridor could country couple course courtyard cove cover cow crack cradle crane
    creek cross crossing crow crowd crown cry cup curse curtain curve cut cypress daily daisy dance dancer dark
    darkness date daughter dawn day dead dear death debris december deep defeat delta departure desert desk detail
    diagram did die dinghy dinner dirt discord dish distance do dock doctor does dog doll dome door doorway double
    doubt down dozen draw drawing dream dress drift drink drive drizzle drop dry dune dusk dust dwelling each ear
    early earth east easy eat ebb echo eclipse edge egg eight either elegy element elephant elm else ember embrace
    embroidery empty enclosure encounter end endless engine enough entrance envy equinox estuary etching even evening
    event ever every everybody everyone everything exhibition exile exodus experience eye fable face fact factory
    faith fall false family far farewell farm farmer fast father fear feather february feel feet fell fen fence fern
    ferry fever few field fifth fig fight figure film final find fine finger finish fire first fish fisherman five
    flag flame flat flesh flight float flood floor flow flower fly fog fold folk follow food fool foot footpath for
    force forest forget fork form forty found fountain four fourth fox fragment frame free fresh friction friday
    friend from front frost fruit fugue full fun funeral fungus funny furrow galaxy gale gallery game garage garden
    garlic gate gateway gave gaze geometry get ghost giant gift girder girl give glass glaze glory glove go goat god
    gold golden gone good gouache grand grandfather grandmother grape grass grave gravel gravity gray great greed
    green greeting grey grid grief groom ground group grow growth guard guest gull had hail hair half hall hallway
    hammer hand handle hang happen happy harbor harbour hard harmony harp harvest has hat have haymaking haystack haze
    hazel head hear heart heat heath heaven heavy hedge hell help her here heron hers hide high hill him his history
    hive hold hole holiday home honey hope horizon horse hospital hot hotel hour house how however huge hull human
    hundred hunger hunter hurt husband hymn ice idea if image imprint in ink inside interior into iris iron is island
    it its ivy january jar jetty job join journey joy judgment jug july june just kale keep kept kettle key kid kind
    king kiss kitchen kite knee knife knot know knuckle labour lace ladder ladle lady lake lamb lamp land landscape
    lane lantern large last late later laugh lavender lay leaf lean learn leave led left leg legend lemon less let
    letter library lichen life lift light lighthouse lightness lightning like lilac lily limestone line linen lion lip
    list listen little live lock long longing look loom lord lose lost lot love lover low lower lullaby lunch machine
    mackerel made magic make man many map maple march marigold mark market marsh mask mast may maybe me meadow meal
    mean meet meeting melancholy melody melon membrane memory men mend mercy metal middle might migration milk mill
    mind mine mirror miss mist model modern moment momentum monday money month moon moor more morning mosaic moss most
    moth mother motion mountain mouse mouth move movement much murmur museum mushroom music must my myth naked name
    narrow nature near neck need needle neighbor neighbour nest net nettle never new news next nice night nine no
    nobody nocturne noise none noon north nose not nothing november now nude number nursery oak oar oats object ocean
    october of off offering office often oh oil old omen on once one onion only open or oracle orange orbit orchard
    order orphan other our out outside over own page pain paint painter painting pair palace pale paper pardon parent
    park part party pass passage past pastel pasture path pattern pause peace peach pear pebble penance pencil peony
    people performance perhaps person photo photograph piano picture piece pier pig pigment pilgrimage pillar pine
    pink pipe place plain plan plane planet plant plaster plate platform play player please plough ploughing plum
    pocket poem point pond pool poor poppy port portrait possible postcard pot pour prayer present pressure pretty
    price pride print prison problem procession prophecy prospect psalm public pull pulse pumpkin purple push put
    quarrel quarry quarter quay queen question quick quiet quilt quince quite rabbit raft rain rainbow raise ran reach
    read reading ready real rectangle red reed reflection relief remember requiem resonance rest restaurant return
    reunion rhythm rib rich ride rigging right ring ripple rise ritual river road rock roof room root rope rose
    rosemary rough round roundel row rubble rudder ruin rule run rye sad safe sage said sail sailor salt same sand sat
    saturday saucer saw say scaffold scar scene school scream sculpture sea seam seascape season seat seaweed second
    see seed seem self sell send september series serve set seven shade shadow shape share sharp she shed sheep shell
    shelter shine shingle ship shirt shoal shoe shop shore short should shoulder show shrine side siege sign signal
    silence silent silver simple sing single sister sisters sit six size skin skull sky slate sleep sleeper slip
    slipway slope slow small smell smile smith smoke snake snow snowfall so soft solace soldier solitude solstice some
    somebody someone something sometimes son song soon soot sorrow sorry sort soul sound south sowing space sparrow
    spine spiral spoon spring square stack stage stair stairwell stand star start state station stay steel step stile
    still stillness stitch stone stood stop store storm story straight strange stranger stream street string strong
    structure studio study stuff such sudden sugar suit summer sun sunday sunflower sunrise sunset supper sure surface
    surrender swallow swan sweet swim swimmer table take talk tall tapestry tea teach teapot tear tell tempest temple
    tempo ten tension tent territory test testimony than that thaw the theatre their them then there these they thick
    thicket thin thing think third thirst thirty this thistle those thought thousand thread three threshing threshold
    through throw thunder thursday thyme tide timber time tiny to today together told tomb tomorrow tongue too took
    tool tooth top torso touch toward towards tower town towpath toy trace track train transition trawler tree trench
    trial triangle trip trouble truce true trust truth try tuesday tulip tunnel turn turnip twelve twenty twice
    twilight twin two umbrella uncle under unfinished until untitled up upon upper us use valley variation vase veil
    velocity verdict very vessel viaduct victory view village vineyard violet violin visit visitor vista voice wait
    walk wall walnut want war warm warmth was wash watch water wave way we wear weather wedding wednesday week weight
    weir welcome well went were west wet wharf what wheat wheel when where which while whisper white who whole why
    wide widow wife wild will willow wind window wine wing winter wire wise wish with without witness woman women
    wonder wood wool word work worker world worse would wound wreath wreck wrist write wrong yard year yellow yes
    yesterday yet you young your
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
