PLAN_BODY = {}
PLAN = {}
PLAN_PAGE = {}
