"""What the shop knows: vocabulary, rules, calculations, facings, order, kits, platforms, parts."""
