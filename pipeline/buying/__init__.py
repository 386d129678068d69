"""What to buy: of which supplier, in which packs, at which price.

A plan buys once, what its orders are short of. How often to buy in a year, and how much at a time, is not asked: the
economic order quantity (with price breaks as Render and Stair, Quantitative Analysis for Management, have it) weighs
what an order costs against a yearly demand and the cost of holding stock, and lot sizing by the month (Wagner and
Whitin, Management Science 5, 1958) against the demand of each. The sheets have neither a demand beyond the orders nor a
cost of holding clay, which keeps for years. Of such an order's fixed cost there is the carriage, and of the breaks all
that they say of one purchase.
"""
