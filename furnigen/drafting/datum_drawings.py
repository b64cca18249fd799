"""Small drawings, in text, of what sizes are measured from; recipes show them in `furnigen describe`."""

SHELF_DATUMS = """\
Heights of shelves, seen from the front:

   | |____________________________  top of the uprights
   | |      ^              ^
   | |  below_top      below_top
   | | last_to=top   last_to=underside
   | |______v______________|______
   |_|_____________________v______| last shelf
   | |
   | |                              equal steps between, from underside to
   | |                              underside and from top to top alike
   | |____________________________
   |_|______ ______________ ______| first shelf
   | |      ^              ^
   | |    first          first
   | | first_to=top   first_to=underside
  _|_|______v______________v______  floor
"""
"""Of recipes that take `first`, `below_top` and what both are measured to."""

LEG_DATUMS = """\
Legs, seen from the front (splay) or from a side (rake):

  outside of the case, a back planted on included
  |
  |<------- inset_to=axis ------->|
  |<---- inset_to=top ---->|      |
  |<- inset_to=block ->|   |      |
  |____________________|___|______|____________
  |                                            |
  |  case                         :            |
  |_______________________________:____________|
  |                    |__________:__________|   block, its middle on the axis
  |                        /     /:     /
  |                       /     / :    /         splay, rake: between the axis
  |                      /     /  :   /          and the plumb line at its top
  |                     /     /   :  /
  |                    /_____/____:_/
  |<- inset_to=foot -->|     |<-->|
                            splay_out, rake_out: foot to top, axis to axis
                            = height of the leg x tan of the angle
"""
"""Of recipes that take legs by their inset and their lean."""

LEANING_DATUMS = """\
Lean of the posts, seen from a side:

                    ___
                   /  | top of the posts
                  /  /|
                 /  / |
                /  /  |   lean: between the posts and the plumb line
               /  /   |
              /  /    |
  ___________/__/_____|   floor
             |<------>|
         out: front of the foot to the wall
         = height x tan(lean) + half the post's level width
"""
"""Of pieces that lean against a wall."""
