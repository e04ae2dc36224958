"""The shop sheet: two or three pages to be laid on the bench, as a PDF.

What stands on it is data first and laid out second, so that a part that a scene
has nothing for is left out or says so in one line.

* ``blocks``     what a page is made of: figures, tick lists, tables, cautions
* ``amounts``    lengths in mm and inches at once
* ``workings``   what a scene tells beyond its answer: how sure, how made, what the car said
* ``subject``    one shaft with everything that is worked out for it
* ``answer``     page 1: whether to cut, and the numbers to cut
* ``making``     page 2: the order of work, strength, the swept-length table
* ``checking``   page 3: clearances, checks before cutting and after welding
* ``drawn``      the sketch and the plots, black on white
* ``flow``       blocks to the PDF library's own
* ``sheet``      the pages: :func:`~sketcher.paper.shop_sheet.sheet.pages_pdf`
"""
