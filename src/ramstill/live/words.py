"""Class words: two plain words that are read out or written on a board, and typed on a phone.

Our own list: short, spelt as they sound, none that sounds like another, none that could hurt. Two of them
in order are one of some hundred thousand, enough for a few hours behind a throttle and for nothing else.
"""

import secrets
from functools import cache

_LIST = """
acorn alder amber anchor apple april apron arrow aspen attic autumn badger bagel bakery balsam bamboo
banjo barley barn barrel basil basket bathtub beacon beaver bench berry birch biscuit blanket blossom
bonnet bottle boulder bracket branch brass bread breakfast brick bridge bronze broom brush bucket buckle
bumblebee bundle butter button cabbage cabin cactus camel camera canal candle canoe canvas carpet carrot
castle cedar cello chalk cherry chestnut chimney cinnamon circle citrus clarinet clay cliff clover
coconut comet compass copper coral corner cotton cousin cradle crayon cricket crystal cucumber cupboard
curtain cushion daisy dawn desert desk diamond dolphin domino donkey dragon drawer drum duckling easel
echo elbow elm ember engine envelope evening falcon feather fence fennel fiddle finch firefly flannel
flint flute forest fossil fountain fox garden garlic gate ginger giraffe glacier glove goblet goose
granite grape grass gravel guitar hammer hammock harbor harvest hazel hedge helmet heron hill honey
hopper horizon husky igloo indigo iris island ivory ivy jacket jasmine jelly jersey jigsaw juniper kayak
kennel kettle kitchen kitten ladder lagoon lamp lantern lavender lemon lentil library lilac lily linen
lizard lobster locket lunch magnet magpie mango maple marble market marmot meadow melon meteor midnight
mill mint mirror mitten monday monkey morning moss mountain muffin mushroom mustard napkin nectar needle
nickel noodle notebook nutmeg oak oasis oatmeal ocean octopus olive onion opal orange orbit orchard
osprey otter oven oyster paddle panda panther paper parrot parsley pasta pastry pebble pelican pencil
pepper piano pickle picnic pigeon pilgrim pillow pineapple planet plum pocket polka pond poppy potato
powder prairie pretzel pudding pumpkin puppet puzzle quarry quilt rabbit raccoon radish raft rainbow
raisin raspberry raven reindeer ribbon river robin rocket rosemary ruby saddle saffron sailor salad
salmon sandal sapling satin saucer scarf school seal seashell sesame shovel silk silver slipper
snowflake sofa sparrow spinach spiral sponge spoon spruce squirrel stable starling station stone stork
strawberry sugar summer sunday sunset swallow swan table tambourine tangerine teapot thicket thimble
thistle thunder tiger timber tinsel toast tomato torch tractor trumpet tulip tundra tunnel turnip turtle
umbrella valley vanilla velvet village vine violet violin waffle wagon walnut walrus water weaver whale
wheat whistle willow window winter wizard wolf wombat wool yarn yogurt zebra zipper
"""


@cache
def plain_words() -> tuple[str, ...]:
    """The whole list, in order of the alphabet."""
    return tuple(_LIST.split())


def new_word() -> str:
    """Two different words with a space between, chosen so that nobody can foresee them."""
    first = secrets.choice(plain_words())
    second = secrets.choice([word for word in plain_words() if word != first])
    return f"{first} {second}"


def as_typed(text: str) -> str:
    """What somebody typed, as `new_word` would write it: small letters, one space, no stop at the end."""
    return " ".join(text.replace("-", " ").replace(".", " ").lower().split())
