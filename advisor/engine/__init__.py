"""Forward chaining over the rules of one stage: facts in; facts, requirements (by fired rule) and firings out."""
